"""What the bill says: every word and figure as it was made, whatever the workshop has become since."""

from decimal import Decimal

from pinchbolt.paper.paper_facts import PAPERS, day_text, wrapped
from pinchbolt.values.money import money_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.leaving.bill import BillView
from pinchbolt.workshop.stays.payments import WENT_OUT, PaymentView


def bill_values(bill: BillView) -> dict[str, object]:
    """Return the values of a bill."""
    seller = bill.seller

    def money(amount: Decimal) -> str:
        return money_text(amount, bill.currency, seller.country)

    def paid(one: PaymentView) -> dict[str, object]:
        sign = 1 if one.what in WENT_OUT else -1
        return {"words": f"{one.what}, {one.how}, {day_text(one.day)}", "amount": money(sign * one.amount)}

    times = [f"{line.count} × " if line.count > 1 else "" for line in bill.lines]
    return {
        "sheet": worded("Bill"),
        "title": worded("Bill {number}, {name}", number=bill.number, name=seller.name),
        "number": worded("bill {number}", number=bill.number),
        "bill_number": bill.number,
        "paper": PAPERS[seller.paper],
        "shop": {
            "name": wrapped(seller.name),
            "where": wrapped(", ".join(filter(None, (seller.address, seller.town, seller.phone)))),
            "demo": terms().is_demo,
        },
        "tax_number": worded("tax number {tax_number}", tax_number=seller.tax_number)
        if seller.tax_number
        else "",
        "bike": {"tag": bill.tag, "words": wrapped(bill.bike_words)},
        "job": f"{bill.tag}-{bill.job}",
        "owner": {"name": wrapped(bill.buyer) or worded("name erased")},
        "issued": day_text(bill.issued),
        "supplied": day_text(bill.supplied),
        "lines": [
            {
                "words": wrapped(f"{many}{line.words}{f', {line.place}' if line.place else ''}"),
                "parts": wrapped(line.parts),
                "price": money(line.price),
            }
            for many, line in zip(times, bill.lines, strict=True)
        ],
        "off": [{"words": wrapped(one.words), "amount": money(-one.amount)} for one in bill.taken_off],
        "total": money(bill.total),
        "paid": [paid(one) for one in bill.paid_before],
        "to_pay": money(bill.to_pay),
        "taxes": [
            {
                "rate": f"{row.rate.normalize():f} %",
                "net": money(row.net),
                "tax": money(row.tax),
                "gross": money(row.gross),
            }
            for row in bill.taxes
        ],
        "paid_how": worded("not paid yet")
        if bill.paid_how == "not yet"
        else worded("paid: {paid_how}", paid_how=bill.paid_how),
        "reverses": bill.reverses,
        "reason": wrapped(bill.reason),
        "footer": seller.foot_words,
    }
