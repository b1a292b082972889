"""Parts that are wanted: for a line or for the bins, where each stands, from whom it comes; tags that a bike had before."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.bike import Bike
from pinchbolt.records.models.bins import BinPart
from pinchbolt.records.models.event import Event, EventRow
from pinchbolt.records.models.job import Job, Line
from pinchbolt.records.models.row import RecordRow
from pinchbolt.values.wording import worded

# Where a wanted part may stand; each is an act, and "late" moves its day alone.
WANTED_STATES = (
    "ordered", "late", "arrived", "from the bins", "wrong", "sent back", "credited", "kept for the bins", "given to the owner",
    "not wanted", "fitted",
)  # fmt: skip


class EarlierTag(EventRow):
    """A tag that a bike had before it got a new one: whoever finds it is led to the bike."""

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="earlier_tags")
    tag = models.CharField(max_length=12, db_index=True)


class Supplier(RecordRow):
    """From whom parts come: how to order there, our number with them, how many days they usually take.

    `carriage` is what an order costs besides, nothing from `free_from` on; below `least_order` they take none.
    """

    name = models.CharField(max_length=120, unique=True)
    phone = models.CharField(max_length=40, blank=True)
    how = models.CharField(max_length=200, blank=True)
    our_number = models.CharField(max_length=60, blank=True)
    days = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    carriage = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    free_from = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    least_order = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class SupplierPart(RecordRow):
    """What a supplier sells of a number of the bins: by which number of theirs, what one costs us without tax, how many in a pack."""

    bin_part = models.ForeignKey(BinPart, on_delete=models.PROTECT, related_name="sold_by")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="sells")
    number = models.CharField(max_length=60, blank=True)
    each = models.DecimalField(max_digits=8, decimal_places=2)
    pack = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["bin_part", "supplier"], name="sold_once_by_a_supplier"),
            models.CheckConstraint(condition=Q(each__gte=0) & Q(pack__gte=1), name="sold_in_packs"),
        ]

    def __str__(self) -> str:
        return worded("{bin_part} of {supplier}", bin_part=self.bin_part, supplier=self.supplier)


class WantedPart(EventRow):
    """A part that a line of a job needs (`part` is its place among the line's parts), or the bins do (no job).

    `number` is the supplier's; `bin_part` the row of the bins that it is, where that is known.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="wanted")
    line = models.ForeignKey(Line, on_delete=models.PROTECT, null=True, blank=True, related_name="wanted")
    part = models.PositiveSmallIntegerField(null=True, blank=True)
    words = models.CharField(max_length=200)
    count = models.PositiveSmallIntegerField(default=1)
    number = models.CharField(max_length=60, blank=True)
    bin_part = models.ForeignKey(
        BinPart, on_delete=models.PROTECT, null=True, blank=True, related_name="wanted"
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(count__gte=1), name="wanted_counted")]

    def __str__(self) -> str:
        return self.words


class WantedMove(EventRow):
    """What became of a wanted part: the newest that stands says where it is. `price` is what one costs the shop."""

    wanted = models.ForeignKey(WantedPart, on_delete=models.PROTECT, related_name="moves")
    state = models.CharField(max_length=20)
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="moves"
    )
    price = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    due = models.DateField(null=True, blank=True)
    count = models.PositiveSmallIntegerField(null=True, blank=True)
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(state__in=WANTED_STATES), name="wanted_state_known")
        ]


class BinMove(RecordRow):
    """Parts into a bin (above 0) or out of it: a bin's count is the sum of its moves that stand.

    No event: counted before moves were written down.
    """

    part = models.ForeignKey(BinPart, on_delete=models.PROTECT, related_name="moves")
    event = models.ForeignKey(
        Event, on_delete=models.PROTECT, null=True, blank=True, related_name="bin_moves"
    )
    count = models.IntegerField()
    why = models.CharField(max_length=40)
    line = models.ForeignKey(Line, on_delete=models.PROTECT, null=True, blank=True, related_name="bin_moves")

    def __str__(self) -> str:
        return f"{self.count:+d} {self.part}, {self.why}"
