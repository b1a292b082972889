"""Consent: what an owner said yes or no to, by which way, on which day and how. A merge never widens it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import ABOUT, BY_WAY, Consent, Event, Owner
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.checks import local_day, not_in_future
from pinchbolt.workshop.owners.change_owner import owner_to_change

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


@dataclass(frozen=True, slots=True)
class ConsentView:
    """What stands: `yes` None where nobody said, or where two owners who were merged had not both said yes."""

    about: str
    by_way: str
    yes: bool | None
    day: date | None = None
    how: str = ""
    told_to: str = ""


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
                sentence = f'"{value[:30]}" is not one of {", ".join(known)}. Choose one.'
                raise InputRefused(sentence, {name: sentence})
        day = not_in_future(request.day or local_day(now), now, "day", "The day")
        Consent.objects.create(
            event=this.write(), owner=owner, about=request.about, by_way=request.by_way, yes=request.yes, day=day, how=request.how
        )  # fmt: skip


@once_a_look
def consents_of(owner: int) -> tuple[ConsentView, ...]:
    """Return what stands for each thing and way; of owners who were merged, no wins, and yes only where each had said it.

    What was said after a merge was asked of the one person, and settles it.
    """
    merges = _merges_into(owner)
    rows = Consent.objects.filter(owner__in=[owner, *merges]).select_related("event__by").order_by("event")
    newest = {(row.owner_id, row.about, row.by_way): row for row in rows}
    return tuple(
        _standing(owner, merges, {pk: row for (pk, *what), row in newest.items() if what == [about, way]}, (about, way))
        for about in ABOUT
        for way in BY_WAY
    )  # fmt: skip


def may_reach(owner: int, about: str, by_way: str) -> bool:
    """Whether an owner may be written to or rung about this: only where a yes stands."""
    return any(one.yes is True and (one.about, one.by_way) == (about, by_way) for one in consents_of(owner))


def _merges_into(owner: int) -> dict[int, tuple[int, int]]:
    """Who was merged into an owner, also by others: {gone: (into whom, by which event)}."""
    found: dict[int, tuple[int, int]] = {}
    further = [owner]
    while further:
        gone = list(Owner.objects.filter(merged_into__in=further).values_list("pk", "merged_into"))
        further = [pk for pk, _ in gone]
        found.update({pk: (int(into or 0), 0) for pk, into in gone})
    if not found:
        return {}
    merges = Event.objects.filter(
        kind="owners merged", said__kept__in=[owner, *found], corrected_by__isnull=True
    )
    for event, said in merges.order_by("pk").values_list("pk", "said"):
        if said["gone"] in found:
            found[said["gone"]] = (said["kept"], event)
    return found


def _standing(
    owner: int, merges: Mapping[int, tuple[int, int]], said: Mapping[int, Consent], what: tuple[str, str]
) -> ConsentView:
    """What stands of one thing and way, for an owner with whoever was merged into them."""
    own = said.get(owner)
    told_at = own.pk if own is not None else 0
    before = [
        _standing(gone, merges, said, what)
        for gone, (into, event) in merges.items()
        if into == owner and event > told_at
    ]
    words = [own.yes if own is not None else None, *(one.yes for one in before)]
    yes = False if False in words else True if all(words) else None
    row = own
    if yes is False and (own is None or own.yes):
        return next(
            ConsentView(*what, False, one.day, one.how, one.told_to) for one in before if one.yes is False
        )
    if row is None or yes is None:
        return ConsentView(*what, yes)
    return ConsentView(*what, yes, row.day, row.how, row.event.by.name)
