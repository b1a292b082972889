"""The workshop itself: one row."""

from django.db import models


class Workshop(models.Model):
    """Name, terms and habits of the workshop."""

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
    open_days = models.JSONField(default=dict, blank=True)
    is_demo = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(labour_an_hour__gte=0), name="labour_not_negative"),
            models.CheckConstraint(
                condition=models.Q(tax_percent__gte=0) & models.Q(tax_percent__lt=100),
                name="tax_percent_sane",
            ),
            models.CheckConstraint(
                condition=models.Q(chain_school__in=["early", "late"]), name="chain_school_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name
