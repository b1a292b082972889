"""Pages and refusals name commands as they work where the program was called otherwise."""

from collections.abc import Callable, Iterator

import pytest
from django.core.exceptions import MiddlewareNotUsed
from django.http import HttpRequest, HttpResponse
from django.test import Client

from pinchbolt.records.models import Person
from pinchbolt.serving.commands_as_typed import CommandsAsTyped
from tests.bench.conftest import Cast
from tests.one_chain import forget_the_chain

BY_LAUNCHER = "python3 launch.py pinchbolt"


@pytest.fixture
def launched(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The program was called by the launcher."""
    monkeypatch.setenv("PINCHBOLT_CALLED", BY_LAUNCHER)
    forget_the_chain()
    yield
    forget_the_chain()


@pytest.mark.parametrize("page", ["settings/tablets/", "sealed/", "keeping/"])
def test_pages_name_commands_as_they_were_called(
    launched: None, cast: Cast, signed_in: Callable[[Person], Client], page: str
) -> None:
    """None is left that would not work when it is typed."""
    answer = signed_in(cast.owner).get(f"/{page}")
    told = answer.content.decode()
    assert f"{BY_LAUNCHER} " in told
    assert int(answer["Content-Length"]) == len(answer.content), "a browser reads no further than is said"
    assert "<code>pinchbolt " not in told and "type pinchbolt " not in told


def test_a_refusal_names_them_so_too(launched: None) -> None:
    """Also in the head of an answer, which the tablet reads out."""

    def refuse(_: HttpRequest) -> HttpResponse:
        return HttpResponse("run pinchbolt doctor", headers={"X-Refused": "run%20pinchbolt%20doctor"})

    told = CommandsAsTyped(refuse)(HttpRequest())
    assert isinstance(told, HttpResponse)
    assert told.content.decode() == f"run {BY_LAUNCHER} doctor"
    assert told.headers["X-Refused"] == "run%20python3%20launch.py%20pinchbolt%20doctor"


def test_installed_nothing_is_rewritten() -> None:
    """Then a command works as every sentence says it."""
    with pytest.raises(MiddlewareNotUsed):
        CommandsAsTyped(lambda _: HttpResponse())
