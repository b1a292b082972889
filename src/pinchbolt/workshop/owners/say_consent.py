"""An owner says yes or no to call-backs or news, by one way; a no takes what waits for them out of the outbox."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import ABOUT, BY_WAY, Consent
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.common.checks import local_day, not_in_future
from pinchbolt.workshop.owners.change_owner import owner_to_change
from pinchbolt.workshop.owners.outbox import tidy_outbox

HOW = ("at the counter", "by phone", "in writing")


@dataclass(frozen=True, slots=True)
class ConsentRequest:
    """What the owner said: about call-backs or news, by text, e-mail, letter or phone, yes or no, when (None: today) and how."""

    owner: int
    about: str
    by_way: str
    yes: bool
    how: str = HOW[0]
    day: date | None = None


def say_consent(request: ConsentRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down what an owner said.

    Raises:
        InputRefused: Nothing that is asked for, no way that there is, or a day to come.
    """
    private = ("yes", "how", "day")
    with act("consent said", by=by, key=key, now=now, request=request, private=private) as this:
        if this.repeated:
            return
        owner = owner_to_change(request.owner)
        for name, value, known in (
            ("about", request.about, ABOUT), ("by_way", request.by_way, BY_WAY), ("how", request.how, HOW),
        ):  # fmt: skip
            if value not in known:
                sentence = worded(
                    '"{value}" is not one of {known}. Choose one.', value=value[:30], known=", ".join(known)
                )
                raise InputRefused(sentence, {name: sentence})
        day = not_in_future(request.day or local_day(now), now, "day", worded("The day"))
        Consent.objects.create(
            event=this.write(), owner=owner, about=request.about, by_way=request.by_way, yes=request.yes, day=day, how=request.how
        )  # fmt: skip
        if not request.yes:
            transaction.on_commit(tidy_outbox)
