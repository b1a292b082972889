"""Parts by their pages: to order, ordered, here, wrong; the job's own list, suppliers and counting a bin."""

from datetime import timedelta

from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import BinPart, Supplier, WantedPart
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.parts.wanted import wanted_of
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import key, lines_of, started
from tests.story import NOW


def shown(tablet: Client, address: str) -> str:
    """A page."""
    answer = tablet.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_part_is_ordered_in_three_taps_and_comes(cast: Cast, tablet: Client) -> None:
    """From the job's list: order it, ordered with supplier and day, arrived; both pages say where it is."""
    on = started(cast.story)
    line, job = lines_of(on)["chain"], f"/job/{on.job}/parts/"
    assert "nobody has looked for it yet" in shown(tablet, job)
    tablet.post(f"{job}want/", {"key": key(), "words": "chain", "line": line, "part": 0, "count": 1})
    wanted = WantedPart.objects.get().pk
    assert "to order" in shown(tablet, job) and "To order" in shown(tablet, "/parts/")
    day = timezone.localtime(NOW).date() + timedelta(days=2)
    said = {"wanted": wanted, "to": "ordered", "supplier": "Harrow Supply", "price": "22", "due": f"{day}"}
    tablet.post("/parts/move/", {"key": key(), **said})
    assert "Harrow Supply" in shown(tablet, "/parts/")
    tablet.post("/parts/move/", {"key": key(), "wanted": wanted, "to": "arrived", "back": "job"})
    assert [one.state for one in wanted_of(on.record)] == ["arrived"]
    refused = tablet.post("/parts/move/", {"key": key(), "wanted": wanted, "to": "wrong"})
    assert "What is wrong with it?" in refused.content.decode()


def test_a_bin_is_counted_and_a_supplier_written_down(cast: Cast, tablet: Client) -> None:
    """The difference is said; a supplier changes by its name."""
    file = "number,kind,words,price,count,bin\nCH-11,chain,chain 11 speed,36.00,4,A3\n"
    take_in_parts(PartsRequest(file), by=cast.story.first, key=cast.story.key(), now=NOW)
    page = tablet.post("/bins/count/", {"key": key(), "number": "CH-11", "found": "3"}, follow=True)
    assert "counted 3, book says 4: 1 missing" in page.content.decode()
    assert BinPart.objects.get().count == 3
    for days in ("2", "3"):
        said = {"name": "Harrow Supply", "days": days}
        assert tablet.post("/parts/suppliers/save/", {"key": key(), **said}, follow=True).status_code == 200
    assert [one.days for one in Supplier.objects.all()] == [3]
