"""What all tests share: how hypothesis searches, and what is begun first."""

import shutil
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, settings

from pinchbolt.values.money import written_as_in
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables_in_use
from tests.compiled_once import compile_one_at_a_time
from tests.laid_at_once import lay_the_database_at_once
from tests.machine import make_room_for_tests, search_as_a_server_does
from tests.one_chain import share_the_chain
from tests.settings import SHOP_TABLES

# A browser or a server at each step: begun last, one core would wait for the other.
LONG = ("tests/journeys/", "tests/harm/", "tests/second_way/")

# No deadline: how long one example takes says more about the machine than about the code.
settings.register_profile("search", deadline=None, suppress_health_check=[HealthCheck.too_slow])
# The same examples in every run; new ones are searched for with --hypothesis-profile=search, or =long.
settings.register_profile("gate", parent=settings.get_profile("search"), derandomize=True)
settings.register_profile("long", parent=settings.get_profile("search"), max_examples=5000)
# For planted faults (make mutate): that a property fails is enough, the smallest example is not looked for.
settings.register_profile(
    "mutants", parent=settings.get_profile("gate"), phases=[Phase.explicit, Phase.generate], print_blob=False
)
settings.load_profile("gate")
compile_one_at_a_time()
share_the_chain()
lay_the_database_at_once()
make_room_for_tests()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes long; each in the order in which it stands."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONG))


def pytest_collection_finish() -> None:
    """What lasts as long as the run is there now."""
    search_as_a_server_does()


@pytest.fixture(autouse=True)
def _writes_as_before() -> Iterator[None]:
    """A shop of a test may write figures as its country does; the next one says its own."""
    yield
    written_as_in("")


@pytest.fixture(autouse=True)
def _leaves_no_rows_behind() -> Iterator[None]:
    """Rows of its own that a test leaves in the home folder of all tests are the next one's: it is this one's fault, so it fails."""
    yield
    if SHOP_TABLES.exists():
        shutil.rmtree(SHOP_TABLES)
        pytest.fail(f"rows were left in {SHOP_TABLES}: lay them into a folder of the test's own")
    if tables_in_use.cache_info().currsize and tables_in_use().digests:
        # Laid into a folder that is nobody's any more.
        read_tables_again()
