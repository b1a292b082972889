"""Build templates: what a kind of bike usually has, to start a build sheet on the spot."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from pinchbolt.reference.rows.base import BikeKind, Row

UseClass = Literal["dry road", "mixed", "mud", "e-bike", "indoor"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplatePart:
    """A part that such a bike has: its kind word, the limits read on it, and its usual interface facts.

    `facts` names an interface kind (or a measure such as teeth) and the usual value; each is to be looked at, not believed.
    """

    part: str
    limits: tuple[str, ...] = ()
    facts: Mapping[str, str | float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateJoint:
    """A joint that such a bike has and the parts of the build that it clamps; `at` tells two of a kind apart."""

    joint: str
    parts: tuple[str, ...]
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
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
