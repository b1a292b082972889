"""Every row in which words of an owner, or about them, may stand, and what becomes of each when the owner is erased."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Model, Q, QuerySet

from pinchbolt.records.models import (
    Answer,
    Bike,
    ComplaintClosed,
    DoneValue,
    Event,
    Finding,
    Job,
    Line,
    ListCheck,
    NotSeen,
    Part,
    PartDescription,
    Peg,
    RoundTick,
    Trainer,
    WantedMove,
    WantedPart,
)

ERASED_WORDS = "the owner's words were erased"
# What an event kept of the owner's own words, before such words had private rows.
OWN_WORDS = ("owner_words", "frame_number", "said_by", "taken_by")
# Acts whose free words are what the owner said.
SAID_BY_OWNER = ("answered", "line answered", "limit said", "owner tried")


@dataclass(frozen=True, slots=True)
class Written:
    """Rows with words in them: `emptied` fields are the owner's own words, `masked` ones are somebody's notes."""

    rows: QuerySet[Model]
    masked: tuple[str, ...] = ()
    emptied: tuple[str, ...] = ()


def written_of(owners: tuple[int, ...], bikes: list[int], stays: list[Job]) -> Iterator[Written]:
    """Every row of these owners, of the bikes that they have and of their stays that can hold words.

    A bike that was theirs and is somebody else's by now keeps its frame number, and the words of the other's stays.
    """
    jobs, ever = Q(job__in=stays), [*bikes, *(job.bike_id for job in stays)]
    yield Written(
        Job.objects.filter(pk__in=[job.pk for job in stays]), ("seen_words", "left_with"), ("owner_words",)
    )
    yield Written(Bike.objects.filter(pk__in=bikes), (), ("frame_number",))
    yield Written(Bike.objects.filter(pk__in=ever), ("words", "note"))
    yield Written(Finding.objects.filter(jobs), ("words", "reasons", "doubts", "forecast"))
    yield Written(Line.objects.filter(jobs), ("words", "parts", "waiting_reasons", "fit"))
    yield Written(Answer.objects.filter(line__job__in=stays), (), ("words", "said_by"))
    yield Written(NotSeen.objects.filter(jobs), ("words",))
    yield Written(ListCheck.objects.filter(jobs), ("words",))
    yield Written(DoneValue.objects.filter(jobs), ("words",))
    yield Written(RoundTick.objects.filter(bike__in=ever), ("words",))
    yield Written(ComplaintClosed.objects.filter(told__job__in=stays), ("words",))
    yield Written(Part.objects.filter(fittings__bike__in=ever).distinct(), ("words",))
    yield Written(PartDescription.objects.filter(part__fittings__bike__in=ever).distinct(), ("facts",))
    yield Written(WantedPart.objects.filter(jobs), ("words",))
    yield Written(WantedMove.objects.filter(wanted__job__in=stays), ("words",))
    yield Written(Trainer.objects.filter(owner__in=owners), ("name",))
    yield Written(Peg.objects.filter(owner__in=owners), ("words",))


def events_of(owners: tuple[int, ...], bikes: list[int], stays: list[Job]) -> QuerySet[Event]:
    """The events of these owners, of their stays, and of what was ever theirs as far as it belongs to no stay."""
    ever = [*bikes, *(job.bike_id for job in stays)]
    about = Q(job__in=stays) | Q(bike__in=ever, job__isnull=True) | Q(said__owner__in=list(owners))
    return Event.objects.filter(about).distinct()
