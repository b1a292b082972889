"""A photo asked by hand: what is marked, with the bounds of the place in the trade's units. Opens no record."""

from dataclasses import dataclass, replace

from pinchbolt.engines.markings import MarkingContext, MarkingKind, MarkingRead
from pinchbolt.errors import InputRefused
from pinchbolt.eye import Eye
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.markings._place_known import sizes_known
from pinchbolt.workshop.markings.read_photo import read_photo

_MM, _BAR = 1e-3, 1e5
# In which unit a person gives the bounds of a kind, what one of it is in SI, and the most that is sensible.
_BOUNDS = {
    MarkingKind.TORQUE: ("N·m", 1.0, 200.0),
    MarkingKind.ROTOR_LIMIT: ("mm", _MM, 10.0),
    MarkingKind.PAD_LIMIT: ("mm", _MM, 10.0),
    MarkingKind.PRESSURE: ("bar", _BAR, 25.0),
    MarkingKind.RIM_LIMIT: ("bar", _BAR, 25.0),
    MarkingKind.DIAMETER: ("mm", _MM, 200.0),
    MarkingKind.SPEED: ("km/h", 1000 / 3600, 100.0),
}


@dataclass(frozen=True, slots=True)
class MarkingQuestion:
    """Kind of marking, and the bounds of its place: N·m, mm, bar or km/h by kind; None where nothing is known."""

    kind: str
    least: float | None = None
    greatest: float | None = None


@dataclass(frozen=True, slots=True)
class FigureView:
    """One figure in SI with its unit, and in words with the trade's."""

    name: str
    value: float
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class CandidateView:
    """One way to read it; `box` is where, as shares of the photo's width and height."""

    words: str
    printed: str
    figures: tuple[FigureView, ...]
    copies: int
    box: tuple[float, float, float, float]
    why: tuple[str, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkingPhotoView:
    """One of three answers, and what there is to choose from."""

    kind: str
    sureness: str
    words: str
    candidates: tuple[CandidateView, ...]


def marking_view(photo: bytes, question: MarkingQuestion, eye: Eye | None = None) -> MarkingPhotoView:
    """Return what is marked on the part in a photo; nothing is written down.

    Raises:
        InputRefused: No such kind, bounds out of any sense, no photo.
    """
    kind = kind_named(question.kind)
    return view_of(read_photo(photo, kind, place_of(kind, question), eye))


def kind_named(word: str) -> MarkingKind:
    """The kind of that name.

    Raises:
        InputRefused: There is none.
    """
    try:
        return MarkingKind(word.strip().lower().replace(" ", "-").replace("_", "-"))
    except ValueError:
        sentence = worded(
            'Marking of kind "{word}": {markingkind}. Choose one.',
            word=word[:30],
            markingkind=", ".join(MarkingKind),
        )
        raise InputRefused(sentence, {"kind": sentence}) from None


def place_of(kind: MarkingKind, question: MarkingQuestion) -> MarkingContext:
    """What is known of the place, in SI, with the tables that the kind needs.

    Raises:
        InputRefused: Bounds that are no figures, reversed, or of a kind that has none.
    """
    place = sizes_known() if kind is MarkingKind.TYRE_SIZE else MarkingContext()
    least, greatest = question.least, question.greatest
    if least is None and greatest is None:
        return place
    if kind not in _BOUNDS:
        sentence = worded("A marking of kind {kind} has no least and no greatest: leave both out.", kind=kind)
        raise InputRefused(sentence, {"least": sentence})
    unit, factor, most = _BOUNDS[kind]
    if greatest is not None:
        number(greatest, "greatest", worded("The greatest of the place"), 0.0, most, unit)
    if least is not None:
        number(
            least,
            "least",
            worded("The least of the place"),
            0.0,
            most if greatest is None else greatest,
            unit,
        )
    return replace(
        place,
        least=None if least is None else least * factor,
        greatest=None if greatest is None else greatest * factor,
    )


def view_of(found: MarkingRead) -> MarkingPhotoView:
    """An answer as doors show it."""
    return MarkingPhotoView(
        found.kind.value,
        found.sureness.value,
        found.words,
        tuple(
            CandidateView(
                one.words,
                one.printed,
                tuple(
                    FigureView(each.name, float(f"{each.value:.9g}"), each.unit, each.words)
                    for each in one.figures
                ),
                len(one.copies),
                one.box,
                one.why,
                tuple(f"{each.kind}: {each.words}" for each in one.doubts),
            )
            for one in found.candidates
        ),
    )
