"""What was read off a photo, as it may be taken by one tap. Nothing is written by reading; what can't be taken says why."""

import json
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from math import floor

from pinchbolt.engines.markings import MarkingCandidate, MarkingFigure, Sureness
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import allowed
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.markings.ask_marking import MarkingQuestion, kind_named, place_of
from pinchbolt.workshop.markings.read_photo import crop_of, read_photo
from pinchbolt.workshop.proof.what_is_marked import TORQUE, MarkTarget, target_of

CANNOT = Sureness.CANNOT.value
# How many of a target's unit one of SI is, and the unit of SI that it is reckoned from.
_FROM_SI: Mapping[str, tuple[str, float]] = {
    "N·m": ("N·m", 1.0),
    "mm": ("m", 1e3),
    "bar": ("Pa", 1e-5),
    "km/h": ("m/s", 3.6),
}
# Kinds for which bounds of the place say something, in the unit in which the target has them.
_BOUNDED = ("torque", "rotor-limit", "pad-limit")


@dataclass(frozen=True, slots=True)
class MarkingOffer:
    """One way to read it: the marking in words, what was seen letter by letter, its crop as a data address.

    `take` is what a tap sends; "" where it can't be taken here, and `why_not` says why.
    """

    words: str
    printed: str
    crop: str
    why: tuple[str, ...]
    doubts: tuple[str, ...]
    take: str
    why_not: str


@dataclass(frozen=True, slots=True)
class MarkingOffers:
    """What the reader says: one of three answers, a sentence with what to do, and what there is to tap."""

    sureness: str
    words: str
    offers: tuple[MarkingOffer, ...]

    @property
    def is_sure(self) -> bool:
        """Whether the first one is offered by itself."""
        return self.sureness == Sureness.SURE


def offer_marking(job: int, what: str, of: str, name: str, photo: bytes, by: int) -> MarkingOffers:
    """Read a photo for one thing that may be marked; a reader that is not there, crashes or hangs gives a sentence alone.

    Raises:
        NotAllowed: Markings are a mechanic's.
        NotFound: Nothing of that name is marked at this bike.
        InputRefused: The photo is none.
    """
    allowed(by, "marking read")
    target = target_of(job_by_id(job), what, of, name)
    kind = kind_named(target.reads_as)
    low, high = target.usual if target.usual and target.reads_as in _BOUNDED else (None, None)
    found = read_photo(photo, kind, place_of(kind, MarkingQuestion(kind, low, high)))
    offers = tuple(_offer(target, one, found.sureness, photo) for one in found.candidates)
    return MarkingOffers(found.sureness, found.words, offers)


def _offer(target: MarkTarget, one: MarkingCandidate, sureness: str, photo: bytes) -> MarkingOffer:
    value = _value(target, one)
    read = worded(
        'read "{printed}" as {words}, {sureness}', printed=one.printed, words=one.words, sureness=sureness
    )[:200]
    return MarkingOffer(
        words=one.words,
        printed=one.printed,
        crop=f"data:image/jpeg;base64,{b64encode(crop_of(photo, one.box)).decode()}",
        why=one.why,
        doubts=tuple(doubt.words for doubt in one.doubts),
        take=json.dumps({**value, "read": read}) if value else "",
        why_not="" if value else _why_not(target, one),
    )


def _value(target: MarkTarget, one: MarkingCandidate) -> dict[str, object]:
    """What the form of this target would hold; nothing where the marking is not of its sort."""
    if target.is_text:
        word = one.words.strip()
        return {"text": word} if not target.picks or word in target.picks else {}
    unit, factor = _FROM_SI.get(target.unit, ("", 1.0))
    figures = {figure.name: figure for figure in one.figures if figure.unit == unit}
    most = figures.get("greatest") or figures.get("torque") or _only(figures)
    if most is None:
        return {}
    if target.what != TORQUE:
        return {"greatest": float(f"{most.value * factor:.4g}")}
    # Of a limit in another unit nothing is rounded up: 44 in·lb are 4.97 N·m and no more.
    told: dict[str, object] = {"greatest": floor(most.value * 100 + 1e-6) / 100}
    least = figures.get("least")
    return {**told, "least": float(f"{least.value:.4g}")} if least is not None else told


def _only(figures: Mapping[str, MarkingFigure]) -> MarkingFigure | None:
    left = [figure for name, figure in figures.items() if name != "least"]
    return left[0] if len(left) == 1 else None


def _why_not(target: MarkTarget, one: MarkingCandidate) -> str:
    if target.picks:
        return worded(
            "{words} is none of the answers here: {picks}.",
            words=one.words,
            picks=", ".join(target.picks[:6]),
        )
    return worded(
        "{words} is no single figure in {unit}: type what counts.", words=one.words, unit=target.unit
    )
