"""Bills and tax on the screen: the owner of the workshop changes them, others read them."""

from datetime import timedelta
from uuid import uuid4

from django.test import Client

from pinchbolt.records.models import TaxRate, Workshop
from tests.bench.conftest import PASSPHRASE_BACKEND, Cast
from tests.story import TODAY

FILLED = {
    "address": "3 Mill Lane", "phone": "01632 960000", "tax_number": "GB 000", "holds_days": "21", "remind_days": "4",
    "foot_words": "No receipt of a certified till.", "paper": "letter",
}  # fmt: skip


def sent(**more: str) -> dict[str, str]:
    """A form with a mark of its own."""
    return {"key": uuid4().hex, **more}


def test_the_owner_changes_what_stands_on_papers(cast: Cast, tablet: Client) -> None:
    """Every field comes back; what is empty is emptied."""
    tablet.force_login(cast.owner, backend=PASSPHRASE_BACKEND)
    assert tablet.post("/workshop/papers/change/", sent(**FILLED)).status_code == 303
    shop = Workshop.objects.get()
    assert (shop.address, shop.phone, shop.holds_days, shop.paper) == (
        "3 Mill Lane",
        "01632 960000",
        21,
        "letter",
    )
    page = tablet.get("/workshop/papers/?done=yes").content.decode()
    assert all(value in page for value in ("3 Mill Lane", 'value="21"', 'value="letter" checked', "Saved."))
    assert tablet.post("/workshop/papers/change/", sent(**FILLED | {"foot_words": ""})).status_code == 303
    assert Workshop.objects.get().foot_words == ""


def test_a_rate_counts_from_its_day(cast: Cast, tablet: Client) -> None:
    """Written down today for next month; what counts today stays beside it."""
    tablet.force_login(cast.owner, backend=PASSPHRASE_BACKEND)
    first = TODAY + timedelta(days=30)
    later = sent(tax_class="standard", percent="21,5", from_day=first.isoformat())
    assert tablet.post("/workshop/papers/tax/", later).status_code == 303
    assert tablet.post("/workshop/papers/tax/", sent(tax_class="reduced", percent="5")).status_code == 303
    page = tablet.get("/workshop/papers/").content.decode()
    assert f"standard 21.50 % from {first.day} {first:%b %Y}" in page
    assert '<span class="figure">20 %</span>' in page and '<span class="figure">5 %</span>' in page
    assert TaxRate.objects.get(tax_class="reduced").from_day == TODAY


def test_what_is_out_of_sense_comes_back_with_its_sentence(cast: Cast, tablet: Client) -> None:
    """And with what was typed; nothing is written."""
    tablet.force_login(cast.owner, backend=PASSPHRASE_BACKEND)
    for path, data, sentence in (
        ("tax", {"tax_class": "standard", "percent": "120"}, "Tax is 120 percent"),
        ("tax", {"tax_class": "standard", "percent": ""}, "Tax is NaN percent"),
        ("tax", {"percent": "20"}, "The tax class is"),
        ("tax", {"tax_class": "zero", "percent": "0", "from_day": "soon"}, "From which day it counts"),
        ("change", FILLED | {"holds_days": "900"}, "900 days"),
        ("change", FILLED | {"paper": "a0"}, "The paper is"),
    ):
        answer = tablet.post(f"/workshop/papers/{path}/", sent(**data))
        assert answer.status_code == 422 and sentence in answer.content.decode(), sentence
    assert not TaxRate.objects.exists() and Workshop.objects.get(address="").holds_days == 14


def test_others_read_it(cast: Cast, tablet: Client) -> None:
    """No form, and an act sent by hand is refused."""
    tablet.force_login(cast.mechanic, backend=PASSPHRASE_BACKEND)
    page = tablet.get("/workshop/papers/").content.decode()
    assert (
        "The owner of the workshop may change it" in page
        and "<form" not in page.split("<main")[1].split("</main>")[0]
    )
    assert tablet.post("/workshop/papers/tax/", sent(tax_class="zero", percent="0")).status_code == 403
    assert tablet.post("/workshop/papers/change/", sent(**FILLED)).status_code == 403


def test_a_shop_that_is_not_registered_has_no_rates(cast: Cast, tablet: Client) -> None:
    """It says where that is changed."""
    Workshop.objects.update(is_registered=False)
    assert "Not registered: no tax is printed." in tablet.get("/workshop/papers/").content.decode()
