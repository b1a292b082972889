"""Which figures of a joint hold on this bike: by what its parts are made of, how they are shaped, and the thread of its bolt."""

from collections.abc import Iterable
from dataclasses import dataclass

from pinchbolt.engines.build._queries import JointOn
from pinchbolt.engines.build._truth import all_hold
from pinchbolt.engines.build.build_types import Build, FactWanted, PartOn
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.joints import JointCase, JointRow


@dataclass(frozen=True, slots=True)
class JointFigures:
    """Least, greatest and usual torque of a joint as its parts stand, and why. [N·m]

    `case` is None where the joint's own row holds. `sure` is False where a fact or the thread is not known and the
    lowest of what may be is taken: `asks` are the facts that would free it, `threads` those to look for on the bolt.
    """

    row: JointRow
    case: JointCase | None
    sure: bool = True
    asks: tuple[FactWanted, ...] = ()
    threads: tuple[str, ...] = ()

    @property
    def low(self) -> float:
        """Least torque. [N·m]"""
        return self.row.low if self.case is None else self.case.low

    @property
    def high(self) -> float:
        """Greatest torque. [N·m]"""
        return self.row.high if self.case is None else self.case.high

    @property
    def typical(self) -> float:
        """Usual torque. [N·m]"""
        return self.row.typical if self.case is None else self.case.typical

    @property
    def prep(self) -> str:
        """How thread or faces are prepared."""
        return (self.case.prep if self.case is not None else "") or self.row.prep

    @property
    def source(self) -> str:
        """Where the figures are from."""
        return self.row.source if self.case is None else self.case.source

    @property
    def from_shop(self) -> bool:
        """Whether the workshop's own table gave them."""
        return self.row.from_shop if self.case is None else self.case.from_shop

    @property
    def makers_figure_only(self) -> bool:
        """Whether no figure but the maker's will do."""
        return self.row.makers_figure_only or (self.case is not None and self.case.makers_figure_only)


def figures_of(build: Build, joint: JointOn, thread: str = "") -> JointFigures:
    """Return the figures that hold for a joint of a bike; of what is not known the lowest.

    Args:
        build: The bike. [-]
        joint: One of its joints. [-]
        thread: Thread that was read on its bolt, "" where nobody looked. [-]

    Returns:
        The row or the case that counts, whether that is sure, and what would free it. [N·m]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    return _figures(build, joint.row, joint.part, thread)


def lowest_figures(tables: Tables, row: JointRow) -> JointFigures:
    """Return the figures of a joint of which nothing is known but its row: the lowest of all that may be.

    Args:
        tables: The tables. [-]
        row: Row of the joint. [-]

    Returns:
        The row or the case with the lowest greatest value. [N·m]

    Source: The rows of the tables; no figure of its own.
    """
    maybe = [one for one in tables.cases_of.get(row.id, ()) if not one.when_known]
    found = _lowest(row, [], maybe)
    return JointFigures(row, found, sure=not maybe)


def _figures(build: Build, row: JointRow, part: PartOn, thread: str) -> JointFigures:
    yes: list[JointCase] = []
    maybe: list[JointCase] = []
    asks: dict[tuple[int, str, str], FactWanted] = {}
    threads: list[str] = []
    for case in build.tables.cases_of.get(row.id, ()):
        truth = all_hold(build, case.when, part)
        fits = None if case.threads and not thread else not case.threads or thread in case.threads
        if truth.answer is False or fits is False:
            continue
        if truth.answer and fits:
            yes.append(case)
            continue
        if not case.when_known:
            maybe.append(case)
        asks |= {(ask.part.id, ask.part.words, ask.fact.id): ask for ask in truth.asks}
        threads += case.threads if fits is None else ()
    found = _lowest(row, yes, maybe)
    if found in yes:
        return JointFigures(row, found)
    return JointFigures(row, found, not maybe, tuple(asks.values()), tuple(dict.fromkeys(threads)))


def _lowest(row: JointRow, yes: Iterable[JointCase], maybe: Iterable[JointCase]) -> JointCase | None:
    """The case with the lowest greatest value; None for the joint's own row, which counts where no case is sure."""
    sure = list(yes)
    found: JointCase | None = min([*sure, *maybe], key=_how_low, default=None)
    if found is not None and (sure or _how_low(found) < (not row.makers_figure_only, row.high)):
        return found
    return None


def _how_low(case: JointCase) -> tuple[bool, float]:
    """What no table may say is lower than any figure."""
    return not case.makers_figure_only, case.high
