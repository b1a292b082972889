"""A workshop's own tables that bring a kind of part of its own, and the trade tables without one of theirs."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from pinchbolt.reference import loader
from pinchbolt.reference.gather import Gathered, gather
from pinchbolt.workshop.common.trade_tables import read_tables_again


@dataclass(frozen=True, slots=True)
class OwnKind:
    """A kind as a workshop writes it: its row, one fact of its own, and what must come of them.

    `rode` is how far it must have gone after 160 km outdoors and 50 km on the trainer, as `rides` says. [km]
    """

    kind: str
    row: str
    fact: str
    fact_row: str
    told: str
    refused: str
    station: str
    corner: str
    bike_kind: str
    rode: float

    @property
    def mark(self) -> str:
        """The kind in the ids of its rows."""
        return self.kind.replace(" ", "-")

    @property
    def files(self) -> Mapping[str, str]:
        """Every row of the kind, by the file that it stands in."""
        names = {"KIND": self.kind, "MARK": self.mark, "FACT": self.fact}
        told = {name: _filled(text, names) for name, text in ROWS.items()}
        return {"part-kinds.toml": _known(self.fact_row + self.row), **told}


def _filled(text: str, names: Mapping[str, str]) -> str:
    for name, word in names.items():
        text = text.replace(name, word)
    return _known(text)


def _known(text: str) -> str:
    """Each row says how it is known."""
    return text.replace("\n\n", '\nsource = "our own book"\ncertain = "medium"\n\n')


OWN_KINDS = (
    OwnKind(
        kind="belt sprocket",
        row="""[[kind]]
id = "belt sprocket"
end = "rear"
fitted_to = "wheel"
rides = "as its wheel"
station = "cassette"
facts = ["belt_teeth"]

""",
        fact="belt_teeth",
        fact_row="""[[fact]]
id = "belt_teeth"
name = "teeth of the belt sprocket"
ask = "count them"
whole = [16, 60]
unit = "teeth"

""",
        told="24",
        refused="16 to 60 teeth",
        station="cassette",
        corner="gears",
        bike_kind="city",
        rode=210.0,
    ),
    OwnKind(
        kind="chain tensioner",
        row="""[[kind]]
id = "chain tensioner"
rides = "outdoors"
station = "chain"
facts = ["tensioner_arm"]

""",
        fact="tensioner_arm",
        fact_row="""[[fact]]
id = "tensioner_arm"
name = "wheels on the tensioner's arm"
ask = "look at it from behind"
one_of = ["one", "two"]

""",
        told="two",
        refused="one, two",
        station="chain",
        corner="chain",
        bike_kind="track",
        rode=160.0,
    ),
    OwnKind(
        kind="stabilisers",
        row="""[[kind]]
id = "stabilisers"
rides = "all"
station = "rear-wheel"
pieces = "pair"
facts = ["stabiliser_braced"]

""",
        fact="stabiliser_braced",
        fact_row="""[[fact]]
id = "stabiliser_braced"
name = "whether a brace holds each arm"
ask = "look under the arm"
flag = true

""",
        told="yes",
        refused="yes, no",
        station="rear-wheel",
        corner="rear-wheel",
        bike_kind="kids",
        rode=210.0,
    ),
)
# Short lives, so that a reading past the limit after some weeks is what such a part does.
_LIVES = '{ "dry road" = 180, "mixed" = 150, "mud" = 100, "e-bike" = 120, "indoor" = 250 }'
ROWS: Mapping[str, str] = {
    "limits.toml": """[[limit]]
id = "MARK-play"
part = "KIND"
on = ["KIND"]
quantity = "play of the KIND"
where = "at its widest"
instrument = "caliper"
unit = "mm"
new = 0.1
new_spread = 0.05
warn = 1.0
limit = 2.0
direction = "up"
sd = 0.05
at_limit = "before it leaves"
safety = false
marking_wins = true

[[limit]]
id = "MARK-crack"
part = "KIND"
on = ["KIND"]
quantity = "crack in the KIND"
where = "all round its bolt"
instrument = "eye"
unit = "yes/no"
direction = "flag"
limit = "yes"
at_limit = "unsafe to ride"
safety = true

""",
    "wear-priors.toml": f"""[[prior]]
id = "MARK"
covers = ["MARK-play"]
driver = "km"
at = 2.0
median = {_LIVES}
log_sd = 0.4
noise = 100

""",
    "operations.toml": """[[operation]]
id = "MARK-new"
name = "new KIND"
minutes = [10, 15, 25]
shares = []
steps = ["old one off", "new one on"]
tools = ["tq-2-14"]
parts = ["KIND"]
needs = []
checks = ["turns free"]
next = "look again at 500 km"
joints = ["MARK-bolt"]

""",
    "proposals.toml": """[[proposal]]
id = "MARK-worn"
limits = ["MARK-play"]
from_verdict = "next visit"
operation = "MARK-new"
parts = ["KIND"]
replaces = ["KIND"]
words = "It has come to the end of its play."

[[proposal]]
id = "MARK-cracked"
limits = ["MARK-crack"]
from_verdict = "next visit"
operation = "MARK-new"
parts = ["KIND"]
replaces = ["KIND"]
words = "A crack does not stop by itself."

""",
    "parts-prices.toml": """[[price]]
id = "MARK"
part = "KIND"
name = "KIND, of our shelf"
price = "31.50"

""",
    "joints.toml": """[[joint]]
id = "MARK-bolt"
name = "bolt of the KIND"
place = "drivetrain"
on = ["KIND"]
thread = "M5x0.8"
count = 1
drive = ["hex-4"]
low = 5.0
high = 7.0
typical = 6.0
prep = "grease"
pattern = "in one go"
parts = ["KIND"]
critical = "A"
recheck = 6

""",
    "signoff.toml": """[[item]]
id = "so-MARK"
words = "The KIND is tight and runs true"
applies = ["KIND"]
proof = "felt and done value"
if_not = "unsafe to ride"
second = true
joints = ["MARK-bolt"]

""",
}
# One slip in each file: what is written wrong, and where the sentence must say so.
SLIPS: Mapping[str, tuple[str, str, str, str]] = {
    "a station that is none": ("part-kinds.toml", 'station = "', 'station = "moon-', "station"),
    "a kind that is none": ("limits.toml", 'on = ["', 'on = ["flux ', "on"),
    "a fact that is none": ("part-kinds.toml", 'facts = ["', 'facts = ["colour_', "facts"),
    "a limit that is none": ("wear-priors.toml", 'covers = ["', 'covers = ["ghost-', "covers"),
    "a joint that is none": ("operations.toml", 'joints = ["', 'joints = ["ghost-', "joints"),
    "an operation that is none": ("proposals.toml", 'operation = "', 'operation = "ghost-', "operation"),
    "a word that is none": ("signoff.toml", 'applies = ["', 'applies = ["ghost ', "applies"),
    "a part that is none": ("parts-prices.toml", 'part = "', 'part = "ghost ', "part"),
    "a figure that is none": ("joints.toml", "low = 5.0", "low = 9.0", "typical"),
}


def write(folder: Path, own: OwnKind) -> None:
    """Write the workshop's own tables."""
    for name, text in own.files.items():
        (folder / name).write_text(text, encoding="utf-8")


def read_again() -> None:
    """The workshop starts again: tables are read once a start."""
    read_tables_again()


@contextmanager
def trade_without(own: OwnKind) -> Iterator[None]:
    """The trade tables as if nobody had thought of this kind, nor of its fact."""

    def less(folder: Path) -> Gathered:
        return _whole_without(folder, own).copy()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(loader, "gather_once", less)
        yield


@cache
def _whole_without(folder: Path, own: OwnKind) -> Gathered:
    """Read and struck once a kind: as in the program, each that asks has a copy to lay its own rows over."""
    found = gather(folder)
    _strike(found, own)
    return found


def _strike(found: Gathered, own: OwnKind) -> None:
    """Take the kind and its fact out of every row; a row that stands for nothing else goes with it."""
    for table, rows in found.rows.items():
        for key, row in list(rows.items()):
            named = (table, row.raw.get("id")) in (("kind", own.kind), ("fact", own.fact))
            if named or row.raw.get("part") == own.kind or row.raw.get("on") == [own.kind]:
                del rows[key]
                continue
            for field, told in row.raw.items():
                if isinstance(told, list):
                    row.raw[field] = [one for one in told if not _is_of(one, own)]
    # A fault that only this kind's look would see goes with the look.
    seen = {fault for row in found.rows.get("look", {}).values() for fault in row.raw.get("sees", ())}
    for key, row in list(found.rows.get("look_fault", {}).items()):
        if row.raw.get("id") not in seen:
            del found.rows["look_fault"][key]


def _is_of(told: object, own: OwnKind) -> bool:
    """Whether a word of a row, or a part of a template, is the kind or its fact."""
    if isinstance(told, Mapping):
        return str(told.get("part", "")).removesuffix(" front").removesuffix(" rear") == own.kind
    return told in (own.kind, own.fact)
