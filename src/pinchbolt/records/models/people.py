"""Who works here."""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.hashers import make_password
from django.db import models

from pinchbolt.records.models.row import RecordRow


class Role(models.TextChoices):
    """What a person may do; see workshop/acts/acting.py."""

    OWNER = "owner of the workshop"
    MECHANIC = "mechanic"
    COUNTER = "counter"


class People(BaseUserManager["Person"]):
    """Makes persons with hashed passphrase and PIN."""

    def make(
        self, sign_in: str, name: str, role: str, passphrase: str, pin: str = "", stand: int | None = None
    ) -> "Person":
        """Add a person; an empty PIN means that this person signs in by passphrase only."""
        person = self.model(sign_in=sign_in.lower(), name=name, role=role, stand=stand)
        person.set_password(passphrase)
        person.pin = make_password(pin) if pin else ""
        person.save()
        return person


class Person(RecordRow, AbstractBaseUser):
    """A named mechanic, counter hand or the owner of the workshop.

    `gives_percent`: how much of a job they may give away by themselves, None: as much as they think right.
    """

    sign_in = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=30, choices=Role.choices)
    stand = models.PositiveSmallIntegerField(null=True, blank=True)
    pin = models.CharField(max_length=128, blank=True)
    is_active = models.BooleanField(default=True)
    may_sign = models.BooleanField(default=True)
    gives_percent = models.PositiveSmallIntegerField(null=True, blank=True)

    objects: ClassVar[People] = People()

    USERNAME_FIELD = "sign_in"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    def __str__(self) -> str:
        return self.name
