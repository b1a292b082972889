"""Rides as files told them: sums only, never a track; and which bike each one counts for. Both are only ever added."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow


class Ride(RecordRow):
    """One ride of an owner: day, times, distance and climb. Where it went is not kept, nor what its file was called.

    `digest` is that of its file and `number` its place in it, so that the same file is known again. `owner` is whose it was taken
    in for; whose it is now, its newest place says. `double_of` is the ride that it recorded once more: such a ride has no place
    and does not count, unless it was given one later. `device_mark` tells two devices apart without keeping their serial.
    """

    event = models.ForeignKey("records.Event", on_delete=models.PROTECT, related_name="rides")
    owner = models.ForeignKey("records.Owner", on_delete=models.PROTECT, related_name="rides")
    digest = models.CharField(max_length=64)
    number = models.PositiveIntegerField()
    form = models.CharField(max_length=4)
    start = models.DateTimeField(db_index=True)
    day = models.DateField()
    elapsed_s = models.FloatField()
    moving_s = models.FloatField()
    distance_m = models.FloatField()
    distance_from = models.CharField(max_length=10)
    ascent_m = models.FloatField(null=True, blank=True)
    descent_m = models.FloatField(null=True, blank=True)
    energy_kj = models.FloatField(null=True, blank=True)
    work_kj = models.FloatField(null=True, blank=True)
    indoor = models.BooleanField(null=True, blank=True)
    device = models.CharField(max_length=120, blank=True)
    device_mark = models.CharField(max_length=16, blank=True)
    sport = models.CharField(max_length=60, null=True, blank=True)
    damaged = JsonField(default=list, blank=True)
    double_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="doubles"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["digest", "number"], name="a_ride_comes_in_once"),
            models.CheckConstraint(
                condition=Q(distance_m__gte=0)
                & Q(distance_m__lte=3_000_000)
                & Q(elapsed_s__gte=0)
                & Q(moving_s__gte=0),
                name="ride_sums_sane",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.distance_m / 1000:.1f} km"


class RidePlace(RecordRow):
    """What a ride counts for from here on: a bike, a bike on an indoor trainer, or nothing. The newest row of a ride holds.

    `how` says by what it was decided, and `sure` how likely that bike is where it was concluded, not told. `owner` is whose ride it
    is from here on (none: whose it was taken in for), `beside` the ride that it was at the same time as, where that is why it does
    not count.
    """

    event = models.ForeignKey("records.Event", on_delete=models.PROTECT, related_name="ride_places")
    ride = models.ForeignKey(Ride, on_delete=models.PROTECT, related_name="places")
    bike = models.ForeignKey(
        "records.Bike", on_delete=models.PROTECT, null=True, blank=True, related_name="ride_places"
    )
    trainer = models.ForeignKey(
        "records.Trainer", on_delete=models.PROTECT, null=True, blank=True, related_name="ride_places"
    )
    owner = models.ForeignKey(
        "records.Owner", on_delete=models.PROTECT, null=True, blank=True, related_name="ride_places"
    )
    beside = models.ForeignKey(
        Ride, on_delete=models.PROTECT, null=True, blank=True, related_name="places_beside"
    )
    how = models.CharField(max_length=30)
    sure = models.FloatField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.ride}: {self.how}"
