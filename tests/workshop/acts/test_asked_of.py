"""Inside an act an answer is kept until a row is written that could change it: never longer, and no shorter."""

from datetime import date

import pytest
from django.db import connection

from pinchbolt.records.models import UNDONE, Bike, Distance, Event, Fitting, Job, Reading, Tool
from pinchbolt.workshop.acts._asked_of import ALL, added, asked_for
from pinchbolt.workshop.acts.one_look import kept_until_written, once_a_look
from tests.story import NOW, checked_in


def rows_of(query: object) -> frozenset[tuple[str, str]]:
    """What a question hangs on, as the driver is asked it."""
    sql, told = query.query.sql_with_params()  # type: ignore[attr-defined]
    return asked_for(sql, told)


@pytest.mark.django_db
def test_what_stands_hangs_on_its_own_rows_and_on_what_corrects() -> None:
    """A distance that stands: a new distance or a correction may change it, an act that corrects nothing may not."""
    rows = Distance.objects.filter(bike=1, event__corrected_by__isnull=True)
    assert rows_of(rows) == {("records_distance", ""), ("records_event", "corrects_id")}


@pytest.mark.django_db
def test_acts_are_told_apart_by_their_kind_only_where_the_question_names_it_alone() -> None:
    """One kind, or several in a row; with an "or" or a "not" it may be about any act."""
    one = Event.objects.filter(job=1, kind="line done", corrected_by__isnull=True)
    assert ("records_event", "=line done") in rows_of(one) and ("records_event", "") not in rows_of(one)
    two = Event.objects.filter(kind__in=("found", "moved"), job=1)
    assert {("records_event", "=found"), ("records_event", "=moved")} <= rows_of(two)
    for any_act in (
        Event.objects.filter(job=1).exclude(kind="found"),
        Event.objects.filter(kind="found") | Event.objects.filter(job=1),
        Job.objects.exclude(events__kind="found"),
        Event.objects.filter(job=1),
    ):
        assert ("records_event", "") in rows_of(any_act) or ALL in rows_of(any_act)


@pytest.mark.django_db
def test_a_table_joined_backwards_is_asked_for_and_one_joined_by_its_number_is_not() -> None:
    """A reading's instrument was there before the reading; a bike's fittings may come any time."""
    assert "records_instrument" not in {
        table for table, _ in rows_of(Reading.objects.select_related("instrument"))
    }
    assert ("records_fitting", "bike_id") in rows_of(Bike.objects.filter(fittings__end__isnull=True))
    wheels = Fitting.objects.filter(bike=1).values("part")
    assert ("records_fitting", "") in rows_of(Fitting.objects.filter(wheel__in=wheels))


def test_only_a_new_row_is_told_apart() -> None:
    """Whatever changes or takes off a row, goes back a step, or is not understood, lets go of everything."""
    assert added('SELECT 1 FROM "records_tool"', (), many=False) == frozenset()
    assert added('SAVEPOINT "s1"', None, many=False) == frozenset()
    event = 'INSERT INTO "records_event" ("kind", "corrects_id") VALUES (%s, %s), (%s, %s)'
    new = added(event, ("found", None, "moved", None), many=False)
    assert new == {("records_event", one) for one in ("", "kind", "=found", "=moved")}
    assert ("records_event", "corrects_id") in added(event, ("found", None, UNDONE, 7), many=False)
    for other in (
        'UPDATE "records_tool" SET "name" = %s',
        'DELETE FROM "records_tool"',
        'ROLLBACK TO SAVEPOINT "s1"',
        'INSERT INTO "records_tool" SELECT * FROM "records_peg"',
        "PRAGMA foreign_keys = OFF",
    ):
        assert added(other, ("a",), many=False) == {ALL}
    assert added('INSERT INTO "records_tool" ("a", "b") VALUES (%s, now())', ("x",), many=False) == {ALL}
    assert added(event, [("found", None)], many=True) == {ALL}


@once_a_look
def tools_here() -> int:
    """How many tools hang here."""
    return Tool.objects.count()


@once_a_look
def tools_and_distances() -> tuple[int, int]:
    """Asks another question, and hangs on what that one hangs on."""
    return tools_here(), Distance.objects.count()


@once_a_look
def half_an_answer() -> str:
    """Goes on where the question that it asks has no answer."""
    try:
        return _first_tool()
    except LookupError:
        return "none"


@once_a_look
def _first_tool() -> str:
    found = Tool.objects.first()
    if found is None:
        raise LookupError
    return found.name


@pytest.mark.django_db
def test_answers_that_hang_on_others_go_with_them() -> None:
    """Kept questions ask kept questions: the outer one is let go with the inner, also where the inner one found nothing."""
    with kept_until_written():
        assert (tools_and_distances(), half_an_answer()) == ((0, 0), "none")
        Tool.objects.create(table_id="hex", name="a key")
        assert (tools_and_distances(), half_an_answer()) == ((1, 0), "a key")
        with kept_until_written():
            # Acts played one after the other go on with what was kept, and write through it.
            assert tools_here() == 1
            Tool.objects.create(table_id="hex", name="another")
        assert tools_and_distances() == (2, 0)


@pytest.mark.django_db
def test_what_an_act_wrote_elsewhere_asks_nothing_again() -> None:
    """A distance of one bike is written: what is known of the tools stands."""
    told = checked_in()
    job = told.record
    with kept_until_written():
        assert tools_here() == Tool.objects.count()
        event = Event.objects.create(
            at=NOW, by_id=told.first, kind="distance noted", key="a-mark-of-ours", bike=job.bike, said={}
        )
        day = date(2026, 3, 1)
        Distance.objects.create(
            event=event, bike=job.bike, start=day, end=day, km=3, sd_share=0.1, known="guess"
        )
        with connection.execute_wrapper(_refused):
            tools_here()
        with pytest.raises(AssertionError), connection.execute_wrapper(_refused):
            tools_and_distances()


def _refused(_execute: object, sql: str, *_others: object) -> object:
    raise AssertionError(sql)
