"""What the engine of markings is given and what it answers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum


class MarkingKind(StrEnum):
    """What sort of marking is looked for: the mechanic says it, by where he stands when he takes the photo."""

    TORQUE = "torque"
    ROTOR_LIMIT = "rotor-limit"
    PAD_LIMIT = "pad-limit"
    TYRE_SIZE = "tyre-size"
    PRESSURE = "pressure"
    RIM_LIMIT = "rim-limit"
    DIAMETER = "diameter"
    BOLT_CLASS = "bolt-class"
    BATTERY = "battery"
    SPEED = "speed"
    FRAME_NUMBER = "frame-number"


class Sureness(StrEnum):
    """The three answers. None of them is ever written down by itself: a hand confirms."""

    SURE = "sure enough to offer"
    ONE_OF = "one of these"
    CANNOT = "cannot read it"


class DoubtKind(StrEnum):
    """Why a candidate is less sure than it looks."""

    LETTERS = "letters for digits"
    COPIES = "copies disagree"
    ALONE = "read on one copy alone"
    UNITS = "two units disagree"
    POINT = "a decimal point may be lost"
    RANGE = "out of the sensible range"
    TABLE = "not in the tables"
    NO_UNIT = "no unit is printed"
    FAINT = "the reader itself is not sure"


@dataclass(frozen=True, slots=True)
class TextSeen:
    """One piece of text that the reader saw on one copy of the photo.

    `score` is the reader's own, from 0 to 1, of the figure or letter that it is least sure of. `box` is left, top, right, bottom as
    shares of the photo's width and height, in the photo as it was given, upright. `copy` is how the copy was treated, in words: "as it
    is, local contrast", "turned +9°, inverted". Copies of one `cut` share the place where the marking was cut out, and so the letters
    that were cut off with it: they bear each other out less than two cuts.
    """

    text: str
    score: float
    box: tuple[float, float, float, float]
    copy: str
    cut: str = ""


@dataclass(frozen=True, slots=True)
class MarkingFigure:
    """One figure of a marking.

    `name` is what it is, a closed list: least, greatest (of torque, pressure or width: `unit` says which; a lone value is a greatest
    one), thickness, bead_seat, width, diameter, strength, yield, voltage, charge, energy, speed. `value` is in SI: `unit` says which,
    one of N·m, m, Pa, V, C, J, m/s. `words` is for people, with the unit of the trade: "5 N·m", "1.5 mm", "6 bar".
    """

    name: str
    value: float
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class MarkingDoubt:
    """One doubt, and the sentence that says it."""

    kind: DoubtKind
    words: str


@dataclass(frozen=True, slots=True)
class MarkingCandidate:
    """One way to read the marking.

    `words` is the marking put in the trade's own way: "MAX 5 N·m", "40-622"; a frame number, a class and whatever else is no
    figure stand there alone. `printed` is what the reader saw, letter by letter, before anything was joined or put right.
    `copies` are the copies that showed it, `box` where (as in `TextSeen`), `why` what speaks for it.
    """

    words: str
    figures: tuple[MarkingFigure, ...]
    printed: str
    copies: tuple[str, ...]
    box: tuple[float, float, float, float]
    why: tuple[str, ...]
    doubts: tuple[MarkingDoubt, ...]


@dataclass(frozen=True, slots=True)
class MarkingRead:
    """What was read: one of three answers, candidates with the likeliest first, and what was seen.

    SURE has one candidate that may be offered first; ONE_OF has one to three to choose from; CANNOT has none. `words` is one
    sentence for the screen, with what to do next. `seen` is every text of every copy.
    """

    kind: MarkingKind
    sureness: Sureness
    candidates: tuple[MarkingCandidate, ...]
    words: str
    seen: tuple[TextSeen, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkingContext:
    """What is known of the place before anything is read.

    `least` and `greatest` bound the marking's figure in SI: those of the joint (N·m), of the limit's row (m), of the tyre (Pa).
    `bead_seats` are the seats of the tables [m]; `size_seats` gives the seats that are sold under a size as the trade writes
    it ("700x40C"), None where it is no such size. A kind whose table is not given is never sure.
    """

    least: float | None = None
    greatest: float | None = None
    bead_seats: Sequence[float] = ()
    size_seats: Callable[[str], Sequence[float] | None] | None = None
