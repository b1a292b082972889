"""Every row in which words of an owner, or about them, may stand, and what becomes of each when the owner is erased."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Model, Q, QuerySet

from pinchbolt.records.models import (
    Answer,
    Bike,
    Claim,
    ClaimMove,
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
    ProofPhoto,
    RoundTick,
    Trainer,
    WantedMove,
    WantedPart,
    Warranty,
)
from pinchbolt.values.wording import worded
from pinchbolt.workshop.owners.give_over import GIVEN_OVER

ERASED_WORDS = worded("the owner's words were erased")
# What an event kept of the owner's own words, before such words had private rows.
OWN_WORDS = ("owner_words", "frame_number", "said_by", "taken_by")
# Acts whose free words are what the owner said.
SAID_BY_OWNER = ("answered", "line answered", "limit said", "owner tried")


@dataclass(frozen=True, slots=True)
class Theirs:
    """What is one person's: everybody who is this person, the bikes that they have, the stays of whatever was theirs at the time.

    `ever` are the bikes that they have or had, also one that was never here in their time.
    """

    owners: tuple[int, ...]
    bikes: list[int]
    stays: list[Job]
    ever: list[int]

    @property
    def beside(self) -> QuerySet[Job]:
        """Stays of these bikes in other hands: whoever wrote there may have named this person."""
        return Job.objects.filter(bike__in=self.ever).exclude(pk__in=[job.pk for job in self.stays])


@dataclass(frozen=True, slots=True)
class Written:
    """Rows with words in them: `emptied` fields are the owner's own words, `masked` ones are somebody's notes.

    Of rows that are another's (`others`) only the whole name, phones and e-mails go: a single word may be that one's own name.
    """

    rows: QuerySet[Model]
    masked: tuple[str, ...] = ()
    emptied: tuple[str, ...] = ()
    others: bool = False


def written_of(theirs: Theirs) -> Iterator[Written]:
    """Every row of these owners, of the bikes that they have or had and of their stays that can hold words.

    A bike that was theirs and is somebody else's by now keeps its frame number, and the words of the other's stays but for
    this person's name in them.
    """
    own = Job.objects.filter(pk__in=[job.pk for job in theirs.stays])
    for rows, masked in _notes_in(own):
        yield Written(rows, masked)
    yield Written(own, (), ("owner_words",))
    yield Written(Answer.objects.filter(line__job__in=own), (), ("words", "said_by"))
    for rows, masked in _notes_in(theirs.beside):
        yield Written(rows, masked, others=True)
    yield Written(theirs.beside, ("owner_words",), others=True)
    yield Written(Answer.objects.filter(line__job__in=theirs.beside), ("words", "said_by"), others=True)
    yield Written(Bike.objects.filter(pk__in=theirs.bikes), (), ("frame_number",))
    yield Written(Bike.objects.filter(pk__in=theirs.ever), ("words", "note"))
    yield Written(RoundTick.objects.filter(bike__in=theirs.ever), ("words",))
    yield Written(Part.objects.filter(fittings__bike__in=theirs.ever).distinct(), ("words",))
    yield Written(PartDescription.objects.filter(part__fittings__bike__in=theirs.ever).distinct(), ("facts",))
    yield Written(Warranty.objects.filter(event__bike__in=theirs.ever), ("seller", "words"))
    yield Written(Claim.objects.filter(event__bike__in=theirs.ever), ("broke",))
    yield Written(ClaimMove.objects.filter(event__bike__in=theirs.ever), ("words",))
    yield Written(Trainer.objects.filter(owner__in=theirs.owners), ("name",))
    yield Written(Peg.objects.filter(owner__in=theirs.owners), ("words",))


def _notes_in(stays: QuerySet[Job]) -> Iterator[tuple[QuerySet[Model], tuple[str, ...]]]:
    """What somebody wrote in these stays, row by row."""
    jobs = Q(job__in=stays)
    yield stays, ("seen_words", "left_with")
    yield Finding.objects.filter(jobs), ("words", "reasons", "doubts", "forecast")
    yield Line.objects.filter(jobs), ("words", "parts", "waiting_reasons", "fit")
    yield NotSeen.objects.filter(jobs), ("words",)
    yield ListCheck.objects.filter(jobs), ("words",)
    yield DoneValue.objects.filter(jobs), ("words",)
    yield ComplaintClosed.objects.filter(told__job__in=stays), ("words",)
    yield WantedPart.objects.filter(jobs), ("words",)
    yield WantedMove.objects.filter(wanted__job__in=stays), ("words",)


def events_of(theirs: Theirs) -> QuerySet[Event]:
    """The events of these owners, of their stays, and of what was ever theirs as far as it belongs to no stay."""
    about = (
        Q(job__in=theirs.stays)
        | Q(bike__in=theirs.ever, job__isnull=True)
        | Q(said__owner__in=list(theirs.owners))
    )
    return Event.objects.filter(about).distinct()


def proofs_of(theirs: Theirs) -> QuerySet[ProofPhoto]:
    """Photos beside markings, receipts and claims of their stays, and of their bikes as long as these were theirs."""
    about = Q(event__job__in=theirs.stays) | Q(event__bike__in=theirs.bikes, event__job__isnull=True)
    for bike in set(theirs.ever) - set(theirs.bikes):
        given = Event.objects.filter(bike=bike, kind=GIVEN_OVER).order_by("-pk").first()
        if given is not None:
            about |= Q(event__bike=bike, event__job__isnull=True, event__lt=given.pk)
    return ProofPhoto.objects.filter(about).order_by("pk")
