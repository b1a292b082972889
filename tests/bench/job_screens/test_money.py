"""The money of a job on the screen: deposit, its return, payment, a bill taken back and made again, both papers."""

from django.test import Client

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
    assert (
        'value="4o"' in html and 'value="card" checked' in html and "an amount in money is expected" in html
    )


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
