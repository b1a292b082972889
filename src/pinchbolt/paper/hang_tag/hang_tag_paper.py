"""What the hang tag says: the bike's tag large, its words, and a QR code that opens its page. No owner's name hangs in the shop."""

from django.urls import reverse

from pinchbolt.drawing import qr_code
from pinchbolt.errors import InputRefused
from pinchbolt.paper.paper_facts import wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, terms

_TWO_LINES = 52


def tag_address(address: str, tag: str) -> str:
    """Return what the code says: the bike's short address below *address*, in capitals, so that the code stays small."""
    return f"{address.rstrip('/')}{reverse('by_printed_tag', kwargs={'tag': tag})}".upper()


def _cut(words: str) -> str:
    """Two lines of the tag, so that all tags are one length: what is too long ends with a whole word."""
    if len(words) <= _TWO_LINES:
        return words
    whole, blank, _ = words[:_TWO_LINES].rpartition(" ")
    return f"{whole.rstrip(' ,;') if blank else words[: _TWO_LINES - 1]}…"


def hang_tag_values(tag: str, address: str) -> dict[str, object]:
    """Return the values of a hang tag.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: The address is not one that a phone can open.
    """
    if not address.lower().startswith(("http://", "https://")):
        sentence = worded(
            'The address is "{address}": it begins with http:// or https://. Give the address '
            "that tablets open.",
            address=address[:60],
        )
        raise InputRefused(sentence, {"address": sentence})
    bike, shop = bike_by_tag(tag), terms()
    opens = tag_address(address, bike.tag)
    return {
        "title": worded("Hang tag {tag}, {name}", tag=bike.tag, name=shop.name),
        "shop": shop.name,
        "tag": bike.tag,
        "words": wrapped(_cut(bike.words)),
        "opens": opens,
        "qr": qr_code(opens, title=worded("Opens {tag}", tag=bike.tag)),
    }
