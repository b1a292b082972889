"""What is written down of money: tax rates with their first day, bills, and what was handed out on paper or as a text."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.event import Event, EventRow
from pinchbolt.records.models.job import Job
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow


class TaxRate(EventRow):
    """Tax of one class from a day on; a new rate is a new row, and what was priced before keeps its own."""

    tax_class = models.CharField(max_length=20)
    percent = models.DecimalField(max_digits=5, decimal_places=2)
    from_day = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(percent__gte=0) & Q(percent__lt=100), name="tax_rate_sane")
        ]


class Bill(EventRow):
    """What is to pay for a job, numbered without gaps within its year and never changed.

    `reverses` names the bill that this one takes back. `said` holds every word and figure of it as JSON, money as text,
    so that it prints the same whatever changes later. The owner's name stands apart (`BillBuyer`), so that it can be erased.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bills")
    year = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    issued = models.DateField()
    supplied = models.DateField()
    said = JsonField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["year", "number"], name="bill_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="bill_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.year}-{self.number:04d}"

    @classmethod
    def standing_of(cls, job: Job) -> "Bill | None":
        """Return the bill of a job that takes none back and was not taken back, with its buyer; None where there is none."""
        rows = cls.objects.filter(job=job, reverses=None, reversed_by=None).select_related("bought_by")
        return rows.order_by("-pk").first()


class BillBuyer(RecordRow):
    """The owner's name on a bill, as it was that day; not guarded: erased with the owner, while the bill itself stays."""

    bill = models.OneToOneField(Bill, on_delete=models.PROTECT, primary_key=True, related_name="bought_by")
    name = models.CharField(max_length=120, blank=True)


class Paper(RecordRow):
    """A sheet that is final, as it was pressed the first time: it is handed out again as the same bytes."""

    name = models.CharField(max_length=80, unique=True)
    at = models.DateTimeField()
    pdf = models.BinaryField()


class SentText(RecordRow):
    """A text that went to the owner; private, so it does not stand in its event, and it goes when the owner is erased."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="sent_text")
    text = models.TextField()
