"""What may be fitted next: parts in the bins, and parts that can be ordered."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.bike import Part
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow


class BinPart(RecordRow):
    """A part by the workshop's or a supplier's own number: what it is, what it costs, and how many lie in which bin.

    `facts` are interface facts by input name of the fit rules, with teeth under `rings` and `sprockets`. `meets` are words of
    what a fit rule asks for besides ("1.85 mm spacer"): such a part is a spacer, shim or adapter. A count of 0 is to order; below 0
    (in older records alone) more was used than the book had: the bin wants counting. `count` is the sum of the moves, kept here
    by whoever writes one. `gtin` is the number under its bar code, in 14 figures.
    A `used_part` came off a bike and keeps its life: it is one piece.
    """

    number = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=60)
    place = models.CharField(max_length=20, blank=True)
    words = models.CharField(max_length=200)
    facts = JsonField(default=dict, blank=True)
    meets = models.CharField(max_length=120, blank=True)
    price = models.DecimalField(max_digits=8, decimal_places=2)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    bin = models.CharField(max_length=40, blank=True)
    count = models.IntegerField(default=0)
    low_mark = models.PositiveSmallIntegerField(null=True, blank=True)
    order_up_to = models.PositiveSmallIntegerField(null=True, blank=True)
    gtin = models.CharField(max_length=14, blank=True, default="", db_index=True)
    used_part = models.OneToOneField(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="bin_part"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(price__gte=0), name="bin_price_not_negative"),
            models.CheckConstraint(
                condition=Q(used_part__isnull=True) | Q(count__lte=1), name="a_used_part_is_one_piece"
            ),
        ]

    def __str__(self) -> str:
        return self.number
