"""A question whose statement is written once asks what it would ask composed anew, of whatever values."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.db.models import QuerySet
from django.db.models.sql.compiler import SQLCompiler
from django.utils import timezone

from pinchbolt.records import prepared as room
from pinchbolt.records.models import Event, Fitting, Part
from pinchbolt.records.prepared import NotToBePrepared, prepared
from tests.kept_stages import ANEW
from tests.story import answered, checked_in, priced, signed_off, walked_round, worked


@prepared
def _by_place(kinds: tuple[str, ...], bike: int, *, order: str) -> QuerySet[Fitting]:
    rows = Fitting.objects.filter(part__kind__in=kinds, bike=bike).select_related("part")
    return rows.order_by(order)


@prepared
def _between(first: datetime, last: date | None) -> QuerySet[Event, str]:
    return Event.objects.filter(at__gte=first, job__promise__date=last).values_list("kind", flat=True)


@prepared
def _beginning(words: str) -> QuerySet[Part]:
    return Part.objects.filter(kind__startswith=words)


@prepared
def _numbered(number: int) -> QuerySet[Part]:
    return Part.objects.filter(pk=number)


@prepared
def _numbered_one_of(numbers: tuple[int, ...]) -> QuerySet[Part]:
    return Part.objects.filter(pk__in=numbers).order_by("pk")


@pytest.fixture
def held_to_the_orm(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """Every prepared question is composed anew beside it; yields the names of those that were asked."""
    asked: set[str] = set()
    ask = prepared.__call__

    def beside(self: prepared[object], *given: room.Given, **way: str) -> list[object]:
        rows = self.question(*given, **way)
        compiler = rows.query.get_compiler(connection=room._here())
        try:
            anew = compiler.as_sql()
        except room.EmptyResultSet:
            assert not ask(self, *given, **way)
            return []
        said = self.said(*given, **way)
        assert said is not None
        assert (said[0], list(said[1])) == (anew[0], list(anew[1])), self.question.__qualname__
        found = ask(self, *given, **way)
        assert found == list(rows), self.question.__qualname__
        asked.add(f"{self.question.__module__}.{self.question.__qualname__}")
        return found

    monkeypatch.setattr(prepared, "__call__", beside)
    yield asked


def test_a_stay_asks_the_same(db: None, held_to_the_orm: set[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """From check-in to sign-off each statement, its values and its rows are those of the ORM."""
    monkeypatch.setenv(ANEW, "yes")
    signed_off(worked(answered(priced(walked_round(checked_in())))))
    assert len(held_to_the_orm) > 15


def test_values_are_filled_in(db: None, held_to_the_orm: set[str]) -> None:
    """A second asking with other values, another count or another way is no other question's."""
    story = checked_in()
    bike = story.record.bike.pk
    every = _by_place(("chain", "cassette"), bike, order="pk")
    assert {one.part.kind for one in every} == {"chain", "cassette"}
    assert [one.part.kind for one in _by_place(("chain",), bike, order="pk")] == ["chain"]
    assert _by_place(("cassette", "chain"), bike, order="-pk") == every[::-1]
    assert _by_place(("chain",), bike + 1000, order="pk") == []
    assert _by_place((), bike, order="pk") == []
    assert _by_place(("chain", "chain"), bike, order="pk") == _by_place(("chain",), bike, order="pk")
    for at in (datetime(2020, 1, 1, tzinfo=UTC), timezone.now()):
        assert _between(at, None) == list(_between.question(at, None))


@pytest.mark.parametrize("number", [2**31, 2**63, -(2**63) - 1, 10**30])
def test_a_number_that_no_row_can_have_finds_none(db: None, number: int) -> None:
    """As typed into an address: it is past what the database takes."""
    assert _numbered(number) == []


def test_rows_are_looked_up_each_time(db: None) -> None:
    """Nothing of an answer is kept: what was written in between is there."""
    bike = checked_in().record.bike
    before = _by_place(("chain",), bike.pk, order="pk")
    Fitting.objects.create(part=Part.objects.create(kind="chain"), bike=bike, start=date(2026, 1, 1))
    assert len(_by_place(("chain",), bike.pk, order="pk")) == len(before) + 1


def test_it_is_composed_once(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Further askings of the same shape compose nothing."""
    bike = checked_in().record.bike.pk
    asked = prepared(_by_place.question)
    asked(("chain",), bike, order="pk")
    composed: list[object] = []
    as_sql = SQLCompiler.as_sql
    monkeypatch.setattr(
        SQLCompiler, "as_sql", lambda self, *a, **n: composed.append(self) or as_sql(self, *a, **n)
    )
    asked(("saddle",), bike + 1, order="pk")
    assert not composed
    asked(("saddle", "chain"), bike, order="pk")
    assert composed


def test_what_is_changed_on_its_way_is_refused(db: None) -> None:
    """A value that reaches the database as something else can't be filled in later: it is said, not guessed."""
    with pytest.raises(NotToBePrepared):
        _beginning("cha")
    with pytest.raises(NotToBePrepared):
        _by_place(("chain",), True, order="pk")
    beside = prepared(lambda part: Part.objects.filter(pk=part).prefetch_related("fittings"))
    with pytest.raises(NotToBePrepared):
        beside(1)


def test_the_connection_is_that_of_the_thread(db: None) -> None:
    """The statement is read by the connection that is open here."""
    assert room._here() is not connection
    assert room._here().vendor == connection.vendor


def test_a_long_list_is_composed_each_time(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """A statement of a whole shop's bikes is not kept; its rows are the same."""
    parts = [Part.objects.create(kind="chain").pk for _ in range(room._LONGEST_LIST + 1)]
    first = _numbered_one_of(tuple(parts[:-1]))
    composed = []
    monkeypatch.setattr(room, "_composed", lambda *asked: composed.append(asked))
    assert _numbered_one_of(tuple(parts)) == [*first, Part.objects.get(pk=parts[-1])]
    assert composed == []
