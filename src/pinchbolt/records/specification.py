"""Typed specification of a part, one model a kind; what has no model of its own takes none of these fields."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Specification(BaseModel):
    """Base: unknown fields are refused, so that a slip does not turn into a fact."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Chain(Specification):
    """Chain: speeds it is made for and, once counted, its pitches."""

    speeds: int | None = Field(default=None, ge=1, le=14)
    pitches: int | None = Field(default=None, ge=60, le=200)


class Cassette(Specification):
    """Cassette or freewheel."""

    speeds: int | None = Field(default=None, ge=1, le=14)
    smallest: int | None = Field(default=None, ge=9, le=30)
    biggest: int | None = Field(default=None, ge=11, le=60)


class Rotor(Specification):
    """Brake rotor; the minimum thickness is the marking on it, mm."""

    diameter_mm: int | None = Field(default=None, ge=100, le=260)
    marked_minimum_mm: float | None = Field(default=None, ge=0.8, le=2.5)


class Pads(Specification):
    """Disc brake pads."""

    lining: Literal["resin", "sintered"] | None = None


class Tyre(Specification):
    """Tyre by section width and bead seat diameter, mm; greatest pressure as marked, bar."""

    width_mm: int | None = Field(default=None, ge=18, le=130)
    bead_mm: int | None = Field(default=None, ge=137, le=686)
    marked_max_bar: float | None = Field(default=None, gt=0, le=15)


class Wheel(Specification):
    """Wheel: inner rim width, mm, and whether the rim is hooked."""

    rim_inner_mm: float | None = Field(default=None, ge=10, le=110)
    hooked: bool | None = None


class Other(Specification):
    """Any other kind: nothing typed yet."""


BY_KIND: dict[str, type[Specification]] = {
    "chain": Chain,
    "cassette": Cassette,
    "rotor": Rotor,
    "pads": Pads,
    "tyre": Tyre,
    "wheel": Wheel,
}


def specification(kind: str, given: dict[str, object]) -> Specification:
    """Return the typed specification of a part of *kind*; pydantic's ValidationError names what is wrong."""
    return BY_KIND.get(kind.split(maxsplit=1)[0], Other).model_validate(given)
