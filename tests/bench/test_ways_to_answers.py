"""By which way the database finds what a page asks: never through all that a workshop ever did, however long its history.

Nothing is timed: SQLite says the way that it would take, told how the indexes of a grown workshop are filled.
"""

import re
from collections.abc import Iterable, Iterator
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from pinchbolt.engines.day import _promise
from pinchbolt.records.filled import tell_the_planner, told
from pinchbolt.records.models import Bike, Event, Fitting, Owner, Part
from pinchbolt.workshop.bikes.build_sheet import look_up_parts_here, sheets_of
from pinchbolt.workshop.stays.mended import look_up_mended
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled

# What grows with the years; the rest is as large as the shop.
GROWS = (
    "event", "job", "part", "fitting", "reading", "finding", "line", "answer", "donevalue", "itemcheck", "listcheck", "cornercheck",
    "partdescription", "marking", "bill", "ride", "rideplace", "lookanswer", "notseen", "photo", "bikecallback", "payment",
)  # fmt: skip
# Acts that every stay has.
OFTEN = (
    "checked in", "put on stand", "work started", "priced", "answered", "proposed", "line answered", "line done", "done value",
    "reading taken", "found", "corner confirmed", "item looked at", "list looked at", "call-back set", "signed off", "handed over",
)  # fmt: skip
_ALL = re.compile(rf"^SCAN records_({'|'.join(GROWS)})( USING (COVERING )?INDEX sqlite_autoindex.*)?$")
_OF_A_PERSON = re.compile(r"^SEARCH .* USING .*INDEX records_event_by_id_")
_OF_A_KIND = re.compile(r"^SEARCH .* USING .*INDEX records_event_kind_")
_OR_A_KIND = re.compile(r"""OR \("records_event"."kind" = '([^']+)'""")
_OF_AN_OWNER = re.compile(r"^SEARCH .* USING .*INDEX records_(job|rideplace)_owner_id_")
# Pages of one bike, one owner or the day; those of a year ask about a year.
OF_TODAY = ("job/", "bike/", "owner/", "find/", "tools/", "bins/", "check-in/", "settings/")
# Days with their odds rest on what a year taught.
OF_A_YEAR = ("days/", "came-up/<")


def steps(statements: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Each step of the way to each answer, with its statement."""
    with connection.cursor() as cursor:
        for statement in statements:
            if statement.startswith("SELECT"):
                cursor.execute(f"EXPLAIN QUERY PLAN {statement}".replace("%", "%%"), ())
                yield from ((step, statement) for *_, step in cursor.fetchall())


def goes_through_all(step: str, statement: str) -> bool:
    """Whether a step looks at every row of a table, at all acts of a person, or at all acts of a kind that every stay has."""
    if _OF_A_KIND.match(step):
        # Where a kind is the other way to a row, that kind alone is looked through.
        other = _OR_A_KIND.findall(statement)
        return any(kind in other if other else f"'{kind}'" in statement for kind in OFTEN)
    return bool(_ALL.match(step) or _OF_A_PERSON.match(step))


def nobodys(statements: Iterable[str]) -> list[str]:
    """Statements that go through all stays or rides that nobody was named for, which are nearly all: by the owner, twice over."""
    found = []
    for statement in statements:
        ways = [step for step, _ in steps([statement]) if _OF_AN_OWNER.match(step)]
        if len(ways) > 1 and '"owner_id" IS NULL' in statement:
            found.append(statement)
    return found


def pages() -> list[str]:
    """The pages of a bike, an owner, the board and the day."""
    there = [page for page in [*PAGES, *MORE] if page.startswith(OF_TODAY)]
    return ["", *(page for page in there if not any(word in page for word in OF_A_YEAR))]


@pytest.mark.django_db
def test_no_page_goes_through_all_that_ever_was(
    on_the_sheet: Cast, tablet: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A job card read all bikes ever put on a stand, and taking an act back all that its person ever did.

    None of them plays the days ahead either: those stand on pages of their own.
    """
    played: list[int] = []
    monkeypatch.setattr(_promise, "play", lambda *_: played.append(1))
    assert tell_the_planner()
    there = pages()
    assert len(there) > 40
    wrong = []
    for page in there:
        with CaptureQueriesContext(connection) as asked:
            tablet.get(filled(page, on_the_sheet), follow=True)
        wrong += [
            f"{page}: {step}\n    {statement[statement.find(' FROM ') :]}"
            for step, statement in steps(one["sql"] for one in asked)
            if goes_through_all(step, statement)
        ]
        wrong += [f"{page}: {statement}" for statement in nobodys(one["sql"] for one in asked)]
    assert not wrong, "\n".join(wrong)
    assert not played


@pytest.mark.django_db
def test_fifty_bikes_in_the_shop_are_looked_up_by_what_they_are() -> None:
    """Long lists change the way: for fifty bikes all lines ever done were read, and for their parts all fittings there ever were."""
    owner = Owner.objects.create(name="Óláfur Þórðarson")
    bikes = Bike.objects.bulk_create(Bike(tag=f"MANY-{n}", owner=owner, kind="road") for n in range(50))
    for bike in bikes:
        parts = Part.objects.bulk_create(Part(kind="inner-tube") for _ in range(36))
        Fitting.objects.bulk_create(Fitting(part=part, bike=bike, start=date(2026, 3, 2)) for part in parts)
    assert tell_the_planner()
    with CaptureQueriesContext(connection) as asked:
        look_up_parts_here(bikes)
        look_up_mended(bikes)
        sheets_of(bikes)
    statements = [one["sql"] for one in asked]
    assert len(statements) > 5
    wrong = [
        f"{step}\n    {sql[sql.find(' FROM ') :][:400]}"
        for step, sql in steps(statements)
        if goes_through_all(step, sql)
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.django_db
def test_left_to_itself_the_database_would_go_through_all() -> None:
    """The counts are what keeps it from that, and what is asked here would be seen."""
    assert tell_the_planner()
    of_a_person = str(Event.objects.filter(by=1, fingerprint="a").query).replace("= a", "= 'a'")
    of_a_kind = str(Event.objects.filter(kind="line done").query).replace("= line done", "= 'line done'")
    every = str(Event.objects.filter(fingerprint="a").order_by().query).replace("= a", "= 'a'")
    for statement in (of_a_person, of_a_kind, every):
        assert any(goes_through_all(step, sql) for step, sql in steps([statement])), statement


@pytest.mark.django_db
def test_every_index_is_counted() -> None:
    """An index without a count would be taken for the best of all: python -m desk.filled HOME writes them anew."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'index' AND tbl_name LIKE 'records_%'")
        there = {name for (name,) in cursor.fetchall()}
    counted = [index for table, index, _ in told() if index is not None and table.startswith("records_")]
    assert sorted(counted) == sorted(there)


@pytest.mark.django_db
def test_counts_are_told_once() -> None:
    """A start writes nothing where they stand already, and puts right what somebody else has counted."""
    assert tell_the_planner()
    assert not tell_the_planner()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE sqlite_stat1 SET stat = '7 7' WHERE idx LIKE 'records_event_kind_%'")
    assert tell_the_planner()
