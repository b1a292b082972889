"""What the letter says: what is held of an owner, why, how long, and who can see it."""

from datetime import datetime

from django.utils import timezone

from pinchbolt.paper.paper_facts import PAPERS, day_text, shop_facts, wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.keeping.held import held_letter

_WHY = (
    worded("We hold this to look after your bikes, to ask you before work is done, and to write bills."),
    worded("The people who work here can see it. Nothing of it is sent to anybody else by this program."),
    worded(
        "We hold it until you ask us to erase it. Bills keep your name as long as the law "
        "asks; ask us how long that is here."
    ),
    worded("What was measured and done on a bike stays with the bike, without you."),
    worded(
        "If something is wrong, tell us and we put it right. The file everything.json holds "
        "the same, and every detail, for a computer."
    ),
)


def letter_values(owner: int, now: datetime) -> dict[str, object]:
    """Return the values of the letter.

    Raises:
        NotFound: No such owner.
    """
    seen = held_letter(owner, now)
    return {
        "sheet": worded("What we hold about you"),
        "title": worded("What {workshop} holds about {owner}", workshop=seen.workshop, owner=seen.owner),
        "number": "",
        "paper": PAPERS[terms().paper],
        "shop": shop_facts(),
        "bike": {"tag": "", "words": "", "frame_number": ""},
        "owner": {"name": wrapped(seen.owner)},
        "day": day_text(timezone.localtime(now).date()),
        "lines": [[wrapped(name), wrapped(words)] for name, words in seen.lines],
        "why": list(_WHY),
        "footer": "",
    }
