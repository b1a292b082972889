"""What was looked at on a walk-round, and what the owner complained of."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.event import Event, EventRow
from pinchbolt.records.models.job import Finding, Job

LOOK_ANSWERS = ("sound", "found", "not looked at", "could not see")


class LookAnswer(EventRow):
    """One look of a walk-round and its answer; `card` is the event of the tap that gave it, perhaps with others.

    `chance` is how likely a find was said to be just before: without it nothing can be learned from the answer later.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="look_answers")
    look = models.CharField(max_length=80)
    answer = models.CharField(max_length=20)
    chance = models.FloatField(null=True, blank=True)
    card = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="looks_answered")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(answer__in=LOOK_ANSWERS), name="look_answer_known")]


class ToldComplaint(EventRow):
    """One complaint of the owner at a stay, by its row in the tables."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="complaints")
    complaint = models.CharField(max_length=60)


class ComplaintTest(EventRow):
    """The answer to a test that tells the causes of a complaint apart."""

    told = models.ForeignKey(ToldComplaint, on_delete=models.PROTECT, related_name="tests")
    split = models.CharField(max_length=60)
    yes = models.BooleanField()


class ComplaintClosed(EventRow):
    """The mechanic says what the cause was: a finding of this stay where it is one, else words."""

    told = models.ForeignKey(ToldComplaint, on_delete=models.PROTECT, related_name="closings")
    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="complaints_closed"
    )
    words = models.CharField(max_length=200, blank=True)
