"""What a warranty or a claim is about: a part, a tool or an instrument, named in one way."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Q

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Claim, Fitting, Instrument, Part, Warranty
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import part_by_id, tool_by_id

KINDS = ("part", "tool", "instrument")


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing: its kind, its id, what it is called, and the bike that it is on or came off last (a part's alone)."""

    kind: str
    id: int
    name: str
    bike: Bike | None = None

    @property
    def columns(self) -> Mapping[str, int]:
        """How a row names it."""
        return {f"{self.kind}_id": self.id}

    @property
    def is_its(self) -> Q:
        """Rows that are about it."""
        return Q(**{self.kind: self.id})

    @property
    def tag(self) -> str:
        """The bike's tag, "" where it is on none."""
        return self.bike.tag if self.bike else ""


def thing_of(kind: str, number: int) -> Thing:
    """Return one thing.

    Raises:
        InputRefused: Neither part, tool nor instrument.
        NotFound: There is none of this number.
    """
    if kind == "part":
        part = part_by_id(number)
        return Thing(kind, number, str(part), _bike_of(part))
    if kind == "tool":
        return Thing(kind, number, tool_by_id(number).name)
    if kind == "instrument":
        found = Instrument.objects.filter(pk=number).first()
        if found is None:
            raise NotFound(
                worded("There is no gauge {number} on the board. Choose one that hangs there.", number=number)
            )
        return Thing(kind, number, found.name)
    sentence = worded(
        '"{kind}" is neither {kinds}. Choose one of these.', kind=kind[:20], kinds=", ".join(KINDS)
    )
    raise InputRefused(sentence, {"kind": sentence})


def thing_in(row: Warranty | Claim) -> Thing:
    """Return what a row is about, on the bike that it was on when the row was written."""
    if row.part is not None:
        return Thing("part", row.part.pk, str(row.part), row.event.bike)
    if row.tool is not None:
        return Thing("tool", row.tool.pk, row.tool.name)
    assert row.instrument is not None  # the table holds exactly one of the three
    return Thing("instrument", row.instrument.pk, row.instrument.name)


def _bike_of(part: Part) -> Bike | None:
    fitting = (
        Fitting.objects.filter(part=part, bike__isnull=False)
        .select_related("bike")
        .order_by("start", "pk")
        .last()
    )
    return fitting.bike if fitting is not None else None
