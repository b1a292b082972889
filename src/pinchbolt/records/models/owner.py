"""Owners: who a bike belongs to, what was said of them, and how they are found."""

from collections.abc import Iterable
from typing import Protocol

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.event import Event
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow
from pinchbolt.values.plain_words import figures, plain, run_together

# What consent is asked for, and by which way it reaches the owner.
ABOUT = ("call-backs", "news")
BY_WAY = ("text", "e-mail", "letter", "phone")
ERASED = "owner erased"


class Owner(RecordRow):
    """The person a bike belongs to.

    `phone` is the number that is rung first; `ways` holds every further one and the e-mails, {kind, value, whose}.
    `merged_into` is the owner with whom this one turned out to be one person: a merge moves no row but the bikes, so that it
    can be undone at any time. What is personal goes when the owner is erased; the number stays.
    """

    name = models.CharField(max_length=120)
    reach = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    spend_limit = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    called = models.CharField(max_length=60, blank=True, default="")
    belongs_to = models.CharField(max_length=120, blank=True, default="")
    address = models.CharField(max_length=300, blank=True, default="")
    language = models.CharField(max_length=40, blank=True, default="")
    not_before = models.CharField(max_length=5, blank=True, default="")
    not_after = models.CharField(max_length=5, blank=True, default="")
    may_say_yes = models.CharField(max_length=200, blank=True, default="")
    note = models.TextField(blank=True, default="")
    ways = JsonField(default=list, blank=True)
    their_number = models.CharField(max_length=60, blank=True, default="")
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )
    erased_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **named: object) -> None:
        """Write the row, and the words by which it is found."""
        super().save(*args, **named)  # type: ignore[arg-type]
        note_look_up(self.pk)


class OwnerWords(RecordRow):
    """What an act said of an owner: {field: [before, after]}, and of `ways` {added, removed}. Private, so it is no event's word.

    It goes when the owner is erased; the event stays and says which fields were changed.
    """

    event = models.OneToOneField(
        Event, on_delete=models.PROTECT, primary_key=True, related_name="owner_words"
    )
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="words")
    changes = JsonField(default=dict)


class Consent(RecordRow):
    """What an owner said yes or no to, on which day and how; the newest of its kind holds. Private, like `OwnerWords`: erasing ends it."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="consent")
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="consents")
    about = models.CharField(max_length=20)
    by_way = models.CharField(max_length=20)
    yes = models.BooleanField()
    day = models.DateField()
    how = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(about__in=ABOUT), name="consent_about_known"),
            models.CheckConstraint(condition=Q(by_way__in=BY_WAY), name="consent_way_known"),
        ]


class LookUp(RecordRow):
    """The words by which an owner is found, with those of their bikes; a narrow row, so that looking through all of them is quick."""

    owner = models.OneToOneField(Owner, on_delete=models.CASCADE, primary_key=True, related_name="look_up")
    words = models.TextField()


class Erasing(RecordRow):
    """Stands only inside the one transaction that erases an owner: while it does, written words may be emptied."""

    owner = models.OneToOneField(Owner, on_delete=models.CASCADE, primary_key=True)


class HasWords(Protocol):
    """What a bike is found by."""

    tag: str
    words: str
    frame_number: str


def words_to_find(owner: Owner, bikes: Iterable[HasWords]) -> str:
    """Return the words by which an owner and their bikes are found, each after a blank."""
    name = plain(owner.name).split()
    words = [*name, "".join(name) if len(name) > 1 else ""]
    words += plain(f"{owner.called} {owner.belongs_to} {owner.their_number}").split()
    for way in (owner.phone, *(str(one.get("value", "")) for one in owner.ways)):
        words += [plain(way) if "@" in way else figures(way)]
    for bike in bikes:
        words += [run_together(bike.tag), run_together(bike.frame_number), *plain(bike.words).split()]
    return f" {' '.join(filter(None, words))} "


def note_look_up(*owners: int) -> None:
    """Write anew by which words owners are found; one who was merged into another or erased is found no more."""
    for at in range(0, len(owners), _AT_ONCE):
        rows = Owner.objects.prefetch_related("bikes").filter(pk__in=owners[at : at + _AT_ONCE])
        LookUp.objects.bulk_create(
            [LookUp(owner=row, words=_words_of(row)) for row in rows],
            update_conflicts=True,
            unique_fields=["owner"],
            update_fields=["words"],
        )


def _words_of(row: Owner) -> str:
    return words_to_find(row, row.bikes.all()) if row.merged_into_id is None else ""


_AT_ONCE = 500
