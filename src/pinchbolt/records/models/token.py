"""Tokens by which programs come in at the JSON door."""

from django.db import models

from pinchbolt.records.models.people import Person
from pinchbolt.records.models.row import RecordRow


class ApiToken(RecordRow):
    """A token of one person: only its digest is kept, so that whoever reads the records can't use it.

    `scope` is "look" or "work"; `proof` ties it to the passphrase that it was given under. `name` is empty for one that a sign-in gave.
    """

    name = models.CharField(max_length=60, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="tokens")
    scope = models.CharField(max_length=10)
    digest = models.CharField(max_length=64, unique=True)
    proof = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    last_used = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(scope__in=["look", "work"]), name="token_scope_known")
        ]
