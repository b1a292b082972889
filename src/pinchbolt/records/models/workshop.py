"""The workshop itself: one row."""

from django.db import models

from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow


class Workshop(RecordRow):
    """Name, terms and habits of the workshop.

    `tax_percent` is the usual rate where no tax rate with a day says otherwise. An asking holds for `holds_days`; after
    `remind_days` without an answer the shop day says so. `foot_words` are the shop's own, under estimate and bill.
    """

    name = models.CharField(max_length=120)
    town = models.CharField(max_length=120, blank=True)
    country = models.CharField(max_length=2, blank=True)
    currency = models.CharField(max_length=3, default="GBP")
    labour_an_hour = models.DecimalField(max_digits=8, decimal_places=2)
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    stands = models.PositiveSmallIntegerField(default=2)
    chain_school = models.CharField(max_length=5, default="early")
    visit_every_days = models.PositiveSmallIntegerField(default=90)
    # Open days by their name: ["09:00", "17:30"]; empty where nobody has said.
    open_days = JsonField(default=dict, blank=True)
    address = models.CharField(max_length=300, blank=True, default="")
    phone = models.CharField(max_length=40, blank=True, default="")
    mail = models.CharField(max_length=200, blank=True, default="")
    tax_number = models.CharField(max_length=40, blank=True, default="")
    is_registered = models.BooleanField(default=True)
    holds_days = models.PositiveSmallIntegerField(default=14)
    remind_days = models.PositiveSmallIntegerField(default=3)
    foot_words = models.CharField(max_length=400, blank=True, default="")
    paper = models.CharField(max_length=6, default="a4")
    # The shop's own words on papers and in texts, by what they are; empty where ours stand.
    words = JsonField(default=dict, blank=True)
    # A second folder for backups, such as a stick.
    backup_place = models.CharField(max_length=300, blank=True, default="")
    first_list_away = models.BooleanField(default=False)
    is_demo = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(labour_an_hour__gte=0), name="labour_not_negative"),
            models.CheckConstraint(
                condition=models.Q(tax_percent__gte=0) & models.Q(tax_percent__lt=100),
                name="tax_percent_sane",
            ),
            models.CheckConstraint(condition=models.Q(paper__in=["a4", "letter"]), name="paper_known"),
            models.CheckConstraint(
                condition=models.Q(chain_school__in=["early", "late"]), name="chain_school_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name
