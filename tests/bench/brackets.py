"""How much of what people read a translation reaches: each message is put in brackets, and words outside of them are counted."""

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from html.parser import HTMLParser

_SPOKEN = ("aria-label", "title", "placeholder", "alt")
_SILENT = ("script", "style", "textarea")
_MARKS = re.compile(r"[⟦⟧]")
# Addresses and paths.
_PLACES = re.compile(r"https?://\S+|(?<!\w)/[\w./-]+|\w+@\w+")
_WORD = re.compile(r"[^\W\d_](?:[^\W\d_]|['’-](?=[^\W\d_]))+")
# Units, signs of standards and codes of countries are the same in every language.
_UNITS = frozenset(
    "km mm cm kg nm mi bar psi kn hz kb mb gb min max pdf csv json toml fit gpx tcx zip wav iso en din am pm https http".split()
)
_DAYS = frozenset(
    "mon tue wed thu fri sat sun monday tuesday wednesday thursday friday saturday sunday jan feb mar apr may jun jul aug sep oct nov"
    " dec january february march april june july august september october november december".split()
)


class _Read(HTMLParser):
    """Collects what a person reads or hears of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what is read out."""
        self.silent += tag in _SILENT
        self.told += [value for name, value in attrs if name in _SPOKEN and value]
        button = dict(attrs).get("type") in ("submit", "button")
        self.told += [
            value for name, value in attrs if name == "value" and value and button and tag == "input"
        ]

    def handle_endtag(self, tag: str) -> None:
        """End of what is silent."""
        self.silent -= tag in _SILENT

    def handle_data(self, data: str) -> None:
        """Keep what is read."""
        if not self.silent:
            self.told.append(data)


def read(text: str) -> str:
    """Return what a person reads of a page; what is no page stays."""
    if "<html" not in text and "</" not in text:
        return text
    reader = _Read()
    reader.feed(text)
    # A message may run over several tags: its brackets stand in their order.
    return " ".join(reader.told)


def pieces(text: str) -> Iterator[tuple[bool, str]]:
    """Return each piece and whether it stands in brackets."""
    depth = 0
    for piece in re.split(r"([⟦⟧])", _PLACES.sub(" ", text)):
        if _MARKS.fullmatch(piece):
            depth = max(0, depth + (1 if piece == "⟦" else -1))
        elif piece:
            yield depth > 0, piece


def counted(text: str, data: Collection[str]) -> tuple[int, Counter[str]]:
    """Return how many words stand in brackets, and those outside that are no data: names, tags, units, days of the calendar."""
    inside, outside = 0, Counter[str]()
    known = {word.lower() for one in data for word in _WORD.findall(one)} | _UNITS | _DAYS
    for bracketed, piece in pieces(read(text)):
        words = _WORD.findall(piece)
        if bracketed:
            inside += len(words)
        else:
            outside.update(word for word in words if word.lower() not in known and len(word) > 1)
    return inside, outside


def shares(told: Mapping[str, str], data: Collection[str]) -> dict[str, tuple[int, Counter[str]]]:
    """Return the same by sort of what is read: pages, papers, commands, refusals."""
    found: dict[str, tuple[int, Counter[str]]] = {}
    for name, text in told.items():
        sort = name.partition("/")[0]
        inside, outside = counted(text, data)
        before, earlier = found.get(sort, (0, Counter[str]()))
        found[sort] = (before + inside, earlier + outside)
    return found
