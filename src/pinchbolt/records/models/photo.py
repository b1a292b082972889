"""Photos of a stay: small, upright, without place or camera."""

from django.db import models

from pinchbolt.records.models.event import Event
from pinchbolt.records.models.job import Job
from pinchbolt.records.models.row import RecordRow


class Photo(RecordRow):
    """A photo as it is kept. Its row can go (taken away, or its owner erased) while the event that took it stays."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="photo")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photos")
    about = models.CharField(max_length=20)
    jpeg = models.BinaryField()
