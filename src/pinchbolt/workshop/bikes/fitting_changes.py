"""Which fittings an act began and ended, kept with its event, so that the act can be taken back whole."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db.models import Q

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike, Fitting, Part
from pinchbolt.records.models.event import EventRow
from pinchbolt.values.wording import worded

KEPT_AS = "fittings"


@dataclass(slots=True)
class FittingChanges:
    """Ids of what changed on a bike: fittings that began and ended, parts that came into being."""

    began: list[int] = field(default_factory=list)
    ended: list[int] = field(default_factory=list)
    new_parts: list[int] = field(default_factory=list)

    def as_said(self) -> dict[str, dict[str, list[int]]]:
        """As it is kept with the event; nothing where nothing changed."""
        if not self.began and not self.ended:
            return {}
        return {KEPT_AS: {"began": self.began, "ended": self.ended, "new_parts": self.new_parts}}


@contextmanager
def watching_fittings(bike: Bike) -> Iterator[FittingChanges]:
    """Note what changes on a bike inside the block; read it after the block."""
    before, changes = _open(bike), FittingChanges()
    yield changes
    after = _open(bike)
    changes.began = sorted(after.keys() - before.keys())
    changes.ended = sorted(before.keys() - after.keys())
    changes.new_parts = sorted({after[one] for one in changes.began} - set(before.values()))


def _open(bike: Bike) -> dict[int, int]:
    """Fittings on the bike and on its wheels that have not ended, each with its part."""
    on_it = Q(bike=bike) | Q(wheel__fittings__bike=bike, wheel__fittings__end__isnull=True)
    return dict(Fitting.objects.filter(on_it, end__isnull=True).values_list("pk", "part"))


def take_back_fittings(said: Mapping[str, object]) -> None:
    """Put the fittings of a bike back as they were before the act that *said* this.

    Raises:
        NotPossibleNow: A part that the act put on was read, described or moved since.
    """
    kept = said.get(KEPT_AS)
    if not isinstance(kept, Mapping):
        return
    began = list(Fitting.objects.filter(pk__in=kept["began"]).select_related("part"))
    if len(began) != len(kept["began"]) or any(one.end is not None for one in began):
        raise NotPossibleNow(
            worded("The new part came off again since, or was moved: put the build sheet right instead.")
        )
    new = list(kept["new_parts"])
    told = _told_of(new)
    if told is not None:
        raise NotPossibleNow(
            worded(
                "The new {told} was looked at or read since: put the build sheet right instead of undoing.",
                told=told,
            )
        )
    Fitting.objects.filter(pk__in=kept["began"]).delete()
    Fitting.objects.filter(pk__in=kept["ended"]).update(end=None, gone_to="")
    Part.objects.filter(pk__in=new).delete()


def _told_of(parts: list[int]) -> Part | None:
    """A part of these that anything was written down of, even if that was corrected later; its record can't go."""
    for relation in Part._meta.related_objects:
        row = relation.related_model
        if isinstance(row, type) and issubclass(row, EventRow):
            found = row._default_manager.filter(**{f"{relation.field.name}__in": parts}).first()
            if found is not None:
                told: Part = getattr(found, relation.field.name)
                return told
    return None
