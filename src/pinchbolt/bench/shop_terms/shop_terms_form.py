"""What the workshop says of itself, and a rate of tax from a day on."""

from datetime import date
from decimal import Decimal

from django import forms

from pinchbolt.bench.fields import Money, Picked, Whole, Words
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import ShopRequest
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import BillTermsRequest, TaxRequest
from pinchbolt.workshop.acts.open_workshop import OTHER


class ShopForm(SettingForm):
    """Name, place, letterhead, currency."""

    form_id = "shop"
    name = Words(worded("name"))
    town = Words(worded("town"))
    address = Words(worded("address"))
    phone = Words(worded("phone"))
    mail = Words(worded("e-mail"))
    country = Picked("country")
    currency = Words(worded("currency"))
    is_registered = Picked("tax")
    tax_number = Words(worded("tax number"))
    holds_days = Whole(worded("an estimate holds"), "days")
    remind_days = Whole(worded("remind the owner after"), "days")
    paper = Picked("paper")

    def asked(self) -> ShopRequest:
        """Return the request for the use case."""
        values = self.checked()
        return ShopRequest(
            name=values["name"],
            town=values["town"],
            country=values["country"],
            currency=values["currency"],
            mail=values["mail"],
            papers=BillTermsRequest(
                address=values["address"],
                phone=values["phone"],
                tax_number=values["tax_number"],
                is_registered=values["is_registered"] == "yes",
                holds_days=values["holds_days"],
                remind_days=values["remind_days"],
                paper=values["paper"],
            ),
            seen=values["seen"],
        )


class TaxForm(SettingForm):
    """A rate of tax and its first day."""

    form_id = "tax"
    tax_class = Picked("class")
    percent = Money(worded("rate"), "%")
    from_day = forms.DateField(
        label=worded("from"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    def asked(self, today: date) -> TaxRequest:
        """Return the request for the use case; a rate without a day counts from today."""
        values = self.checked()
        percent: Decimal | None = values["percent"]
        if percent is None:
            sentence = worded("Fill in the rate, in %.")
            raise InputRefused(sentence, {"percent": sentence})
        return TaxRequest(values["tax_class"], percent, values["from_day"] or today)


def shop_now() -> dict[str, object]:
    """What stands in the fields before anybody types."""
    shop = terms()
    names = (
        "name",
        "town",
        "address",
        "phone",
        "mail",
        "currency",
        "tax_number",
        "holds_days",
        "remind_days",
        "paper",
    )
    told: dict[str, object] = {name: getattr(shop, name) for name in names}
    return {**told, "country": shop.country or OTHER, "is_registered": "yes" if shop.is_registered else "no"}
