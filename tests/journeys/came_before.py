"""A bike that was here a month ago and is to come back next week: written into PINCHBOLT_HOME. Run as a program."""

import os
from datetime import timedelta

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

import django

django.setup()

from django.utils import timezone

from pinchbolt.records.models import Event, Job, Person
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in

OWNER, REASON = "Cora Wintle", "Chain: likely at its limit"


def comes_back() -> None:
    """Taken in, handed over, and called back for the middle of next week; nobody asked yet whether we may write."""
    now = timezone.now()
    then, by = now - timedelta(days=30), Person.objects.order_by("pk")[0].pk
    asked = CheckInRequest(template="road-disc", owner_name=OWNER, owner_phone="01632960177")
    job = Job.objects.get(pk=check_in(asked, by=by, key="came-before-01", now=then).job)
    owner = job.bike.owner
    owner.address = "4 Field Lane, Ostermere"
    owner.save()
    next_week = timezone.localdate(now) + timedelta(days=9 - timezone.localdate(now).weekday())
    told = {"day": next_week.isoformat(), "reason": REASON, "about": "the next visit"}
    for kind, said in (("handed over", {}), ("call-back set", told)):
        Event.objects.create(
            at=then, by_id=by, kind=kind, key=f"came-before-{kind}", fingerprint="", job=job, bike=job.bike, said=said
        )  # fmt: skip


if __name__ == "__main__":
    comes_back()
