"""Screens of ordering and of who comes back: what the list says goes out, what comes is taken in by scan, one tap says what was said."""

from datetime import timedelta

import pytest
from django.test import Client

from pinchbolt.records.models import Bike, BinPart, Event, WantedPart
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from tests.bench.conftest import Cast
from tests.story import NOW

FILE = (
    "number,kind,words,price,count,bin,gtin,supplier,supplier_number,cost\n"
    "CH-11,chain,chain 11 speed,36.00,4,A3,7300011000017,Harrow Supply,H-77,18.00\n"
)


@pytest.fixture
def mechanic(cast: Cast, tablet: Client) -> Client:
    """Signed in; one part is in the book."""
    take_in_parts(PartsRequest(FILE), by=cast.mechanic.pk, key="parts-of-test", now=NOW)
    return tablet


def send(client: Client, address: str, mark: str = "a-mark-of-one", **said: object) -> int:
    """Send a form; the answer's status."""
    return client.post(address, {"key": mark, **said}).status_code


def count() -> int:
    """How many chains the book says."""
    return BinPart.objects.get(number="CH-11").count


def test_an_order_goes_out_and_comes_in_by_scan_once(mechanic: Client) -> None:
    """Two ordered; scanned as the wedge types it, a line a scan; sent twice it counts once; a misread code keeps what was typed."""
    assert send(mechanic, "/parts/order/sent/", supplier="Harrow Supply", **{"count-CH-11": "2"}) == 303
    assert WantedPart.objects.get().count == 2
    wrong = mechanic.post(
        "/parts/delivery/in/",
        {"key": "a-mark-of-two", "supplier": "Harrow Supply", "slip": "9", "scanned": "7300011000018"},
    )
    assert b"Scan it again" in wrong.content and b"7300011000018" in wrong.content
    for _ in range(2):
        told = {"supplier": "Harrow Supply", "slip": "9", "scanned": "7300011000017\r\n7300011000017\r\n"}
        assert send(mechanic, "/parts/delivery/in/", "a-mark-of-three", **told) == 303
    assert count() == 6
    assert send(mechanic, "/parts/delivery/in/", "a-mark-of-four", **told) == 409
    assert count() == 6
    page = mechanic.get("/parts/delivery/").content.decode()
    assert "2 × chain 11 speed into A3" in page
    back = Event.objects.get(kind="delivery came")
    assert send(mechanic, "/parts/delivery/back/", "a-mark-of-five", delivery=back.pk) == 303
    assert count() == 4


@pytest.mark.parametrize("line", ("4 x 7300011000017", "7300011000017 × 4", "CH-11*4"))
def test_a_count_stands_before_or_behind(mechanic: Client, line: str) -> None:
    """Four scanned as one line."""
    assert send(mechanic, "/parts/delivery/in/", supplier="Harrow Supply", scanned=line) == 303
    assert count() == 8


def test_a_bin_is_counted_by_scan(mechanic: Client) -> None:
    """The difference is said; a code that nobody knows is asked again with the entry kept."""
    assert send(mechanic, "/bins/stocktake/count/", number="7300011000017", found="3") == 303
    assert count() == 3
    assert send(mechanic, "/bins/stocktake/count/", "a-mark-of-two", number="6291041500213", found="3") == 404


def test_marks_margins_and_who_sells_are_changed_there(mechanic: Client) -> None:
    """An empty cost: not sold there any more."""
    assert send(mechanic, "/parts/marks/set/", number="CH-11", low="1", up_to="3") == 303
    row = BinPart.objects.get(number="CH-11")
    assert (row.low_mark, row.order_up_to) == (1, 3)
    assert "12.00" in mechanic.get("/parts/marks/").content.decode()
    assert send(mechanic, "/parts/sold-by/", "a-mark-of-two", number="CH-11", supplier="Harrow Supply") == 303
    assert row.sold_by.count() == 0


def test_one_tap_says_what_was_said_and_a_wrong_one_is_taken_back(mechanic: Client, cast: Cast) -> None:
    """Rung: not asked just now; taken back: on the list as before. A booked visit needs its day."""
    bike = Bike.objects.get(tag=cast.tag)
    first = Event.objects.order_by("pk")[0]
    for kind, said in (
        ("handed over", {}),
        (
            "call-back set",
            {"day": (NOW + timedelta(days=2)).date().isoformat(), "reason": "The chain.", "about": "x"},
        ),
    ):
        Event.objects.create(
            at=NOW,
            by=first.by,
            kind=kind,
            key=f"made-{kind}",
            fingerprint="",
            bike=bike,
            job_id=cast.job,
            said=said,
        )
    assert "The chain." in mechanic.get("/back/").content.decode()
    assert send(mechanic, "/back/said/", "a-mark-of-one", tag=cast.tag, what="booked") == 422
    assert send(mechanic, "/back/said/", "a-mark-of-two", tag=cast.tag, what="rung") == 303
    word = Event.objects.get(kind="call-back said")
    assert "Not to ask just now" in mechanic.get("/back/").content.decode()
    assert send(mechanic, "/back/said/back/", "a-mark-of-three", said=word.pk) == 303
    assert "Not to ask just now" not in mechanic.get("/back/").content.decode()
    made = mechanic.post("/back/letters/", {"key": "a-mark-of-four", "tag": [cast.tag]})
    assert made.status_code == 303
    assert "said no yes to any way of writing" in mechanic.get(made["Location"]).content.decode()
