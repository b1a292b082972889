"""Build templates: what a kind of bike usually has, to start a build sheet on the spot."""

from collections.abc import Mapping
from typing import Literal

from pinchbolt.reference.rows.base import BikeKind, Entry, Row, entry

Fact = str | float | bool
UseClass = Literal["dry road", "mixed", "mud", "e-bike", "indoor"]


@entry
class TemplatePart(Entry):
    """A part that such a bike has: its kind word, the limits read on it, and its usual interface facts.

    `limits` are read in the walk-round, `deeper` when there is cause or in a full service. `facts` names an interface
    fact and its usual value (an id in the interface tables, or mm); `by_speeds` those that go with a speed count.
    Each is to be looked at, not believed.
    """

    part: str
    limits: tuple[str, ...] = ()
    deeper: tuple[str, ...] = ()
    facts: Mapping[str, Fact] | None = None
    by_speeds: Mapping[int, Mapping[str, Fact]] | None = None

    def facts_at(self, speeds: int | None) -> dict[str, Fact]:
        """The usual facts of this part on a bike with *speeds* sprockets behind."""
        at_speeds = (self.by_speeds or {}).get(speeds, {}) if speeds is not None else {}
        return {**(self.facts or {}), **at_speeds}


@entry
class TemplateJoint(Entry):
    """A joint that such a bike has and the parts of the build that it clamps; `at` tells two of a kind apart."""

    joint: str
    parts: tuple[str, ...]
    at: str = ""


@entry
class Template(Row):
    """A usual build. `speeds` lists usual speed counts, most usual first; `km_a_week` is a usual distance."""

    id: str
    kind: BikeKind
    plain: str
    speeds: tuple[int, ...]
    use: UseClass
    km_a_week: float
    parts: tuple[TemplatePart, ...]
    joints: tuple[TemplateJoint, ...]
