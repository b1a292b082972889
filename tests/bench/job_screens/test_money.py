"""The money of a job on the screen: deposit, its return, payment, a bill taken back and made again, both papers."""

import re

from django.test import Client

from pinchbolt.records.models import Event
from tests.bench.job_screens.acts import as_it_is
from tests.bench.job_screens.conftest import gone, key
from tests.story import Story


def page(tablet: Client, on: Story) -> str:
    """The page as it is now."""
    return tablet.get(f"/job/{on.job}/money/").content.decode()


def send(tablet: Client, on: Story, act: str, **data: str) -> int:
    """Send an act of the page."""
    return tablet.post(f"/job/{on.job}/money/{act}/", {"key": key(), **data}).status_code


def test_a_deposit_comes_and_goes(arrived: Story, wren: Client) -> None:
    """Offered is what can be: a return only where a deposit is."""
    on = as_it_is(arrived)
    assert 'value="deposit returned"' not in page(wren, on) and "nothing yet" in page(wren, on)
    assert send(wren, on, "note", what="deposit", amount="40", how="cash") == 303
    html = page(wren, on)
    assert 'value="deposit returned"' in html and "£40.00 of it as deposit" in html
    assert 'id="to-go-back">£40.00' in html
    assert send(wren, on, "note", what="deposit returned", amount="41", how="cash") == 422
    assert send(wren, on, "note", what="deposit returned", amount="40", how="cash") == 303
    assert 'id="still-open">£0.00' in page(wren, on)


def test_what_was_typed_stays_after_a_refusal(arrived: Story, ines: Client) -> None:
    """Beside its sentence."""
    sent = {"key": key(), "what": "deposit", "amount": "4o", "how": "card"}
    html = ines.post(f"/job/{arrived.job}/money/note/", sent).content.decode()
    assert 'value="4o"' in html and 'value="card" checked' in html and "an amount in GBP is expected" in html


def test_a_bill_is_taken_back_and_made_again(arrived: Story, ines: Client) -> None:
    """Three bills, each on a page and on a strip; nothing is left to pay, since the first was paid."""
    on = gone(arrived)
    number = page(ines, on).partition("<h2>Bill ")[2][:9]
    assert send(ines, on, "reverse", number=number, reason="") == 422
    assert send(ines, on, "reverse", number="1999-0001", reason="wrong") == 404
    assert send(ines, on, "reverse", number=number, reason="wrong owner") == 303
    assert "make the bill" in page(ines, on) and f"takes back {number}: wrong owner" in page(ines, on)
    assert send(ines, on, "bill", paid="not yet") == 303
    html = page(ines, on)
    assert 'id="still-open">£0.00' in html and html.count(">80 mm strip<") == 3
    for form in ("page", "strip"):
        sheet = ines.get(f"/paper/bill/{number}/{form}.pdf")
        assert sheet.status_code == 200 and sheet["Content-Type"] == "application/pdf"
    assert ines.get(f"/paper/bill/{number}/scroll.pdf").status_code == 404
    assert ines.get("/paper/bill/1999-0001/page.pdf").status_code == 404


def test_a_payment_said_with_an_undone_handover_is_asked_about(arrived: Story, ines: Client) -> None:
    """The page says that it does not count, and one tap notes it where the money did come."""
    on = gone(arrived)
    handed = Event.objects.filter(job=on.job, kind="handed over").latest("pk")
    assert ines.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": handed.pk}).status_code == 303
    html = page(ines, on)
    asked = html[html.index("data-not-counted") : html.index("it did come: save")]
    assert "with a handover that was undone: it does not count" in asked
    sent = dict(re.findall(r'name="(what|amount|how)" value="([^"]+)"', asked))
    assert send(ines, on, "note", **sent) == 303
    html = page(ines, on)
    assert "data-not-counted" not in html and 'id="still-open">£0.00' in html
