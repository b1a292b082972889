"""What the letter says that asks an owner back: the workshop's words, the bike, and how to say no to the next one."""

from datetime import datetime

from django.utils import timezone

from pinchbolt.paper.paper_facts import PAPERS, day_text, shop_facts, wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, owner_by_id, terms

_NO = worded(
    "You get this letter because you said yes to it. If you want none any more, tell us: "
    "a word at the counter or by phone is enough."
)


def call_back_values(owner: int, tag: str, words: str, now: datetime) -> dict[str, object]:
    """Return the values of the letter.

    Raises:
        NotFound: No such owner or bike.
    """
    bike, to = bike_by_tag(tag), owner_by_id(owner)
    return {
        "sheet": worded("Your bike"),
        "title": worded("Letter of {name}", name=terms().name),
        "number": "",
        "paper": PAPERS[terms().paper],
        "shop": shop_facts(),
        "bike": {"tag": bike.tag, "words": wrapped(bike.words), "frame_number": ""},
        "owner": {"name": wrapped(to.name), "address": wrapped(to.address)},
        "day": day_text(timezone.localtime(now).date()),
        "words": [wrapped(one) for one in words.split("\n\n")],
        "no": _NO,
        "footer": "",
    }
