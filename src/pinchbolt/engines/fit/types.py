"""What the fit engine is asked and what it answers."""

from dataclasses import dataclass
from enum import StrEnum

from pinchbolt.values import Reason


class FitWord(StrEnum):
    """The four verdicts; the word itself is what is shown and stored."""

    FITS = "fits"
    FITS_WITH = "fits with"
    DOES_NOT_FIT = "does not fit"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class FitVerdict:
    """Answer of one rule: verdict, what it needs (`with`), why, which inputs are missing, a value where it gives one.

    `ask` says, for each missing input, how to find it out; `place` is where on the bike (empty for a rule run alone).
    """

    rule: str
    name: str
    verdict: FitWord
    with_items: tuple[str, ...]
    because: str
    missing: tuple[str, ...]
    value: float | None
    reasons: tuple[Reason, ...]
    ask: tuple[str, ...] = ()
    place: str = ""


@dataclass(frozen=True, slots=True)
class BuildVerdict:
    """Whole-build check: the worst of the rules leads; what cannot be told is never hidden."""

    verdict: FitWord
    checks: tuple[FitVerdict, ...]
    cannot_tell: tuple[str, ...]
    shopping: tuple[str, ...]
