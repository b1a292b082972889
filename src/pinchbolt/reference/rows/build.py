"""Build templates: what a kind of bike usually has, to start a build sheet on the spot."""

from collections.abc import Mapping

from pinchbolt.reference.rows.base import Entry, Row, entry
from pinchbolt.reference.rows.kinds import UseClass, Value


@entry
class TemplatePart(Entry):
    """A part that such a bike has: its kind with its end, and what such a part usually is.

    `facts` names facts of the kind and their usual values; `by_speeds` those that go with a speed count. Each is to be
    looked at, not believed. With `speeds` the part is there only on such bikes with one of these speed counts.
    """

    part: str
    speeds: tuple[int, ...] = ()
    facts: Mapping[str, Value] | None = None
    by_speeds: Mapping[int, Mapping[str, Value]] | None = None

    def facts_at(self, speeds: int | None) -> dict[str, Value]:
        """The usual facts of this part on a bike with *speeds* sprockets behind."""
        at_speeds = (self.by_speeds or {}).get(speeds, {}) if speeds is not None else {}
        return {**(self.facts or {}), **at_speeds}


@entry
class Template(Row):
    """A usual build. `speeds` lists usual speed counts, most usual first; `km_a_week` is a usual distance."""

    id: str
    kind: str
    plain: str
    speeds: tuple[int, ...]
    use: UseClass
    km_a_week: float
    parts: tuple[TemplatePart, ...]
