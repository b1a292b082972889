"""Owners put right, field by field: each change an act, its words in a private row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Owner, OwnerWords
from pinchbolt.values import Json
from pinchbolt.values.money import figure_text, smallest_coin
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import owner_by_id, terms
from pinchbolt.workshop.acts.money_terms import in_coins
from pinchbolt.workshop.bikes.building import bike_from_template
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.owners.outbox import tidy_outbox
from pinchbolt.workshop.owners.told_fields import (
    WORDS,
    ReachWay,
    checked_fields,
    checked_ways,
    said_now,
    write_changes,
)

_MOST_MONEY = 100_000


@dataclass(frozen=True, slots=True)
class OwnerRequest:
    """What an owner is to say from now on. Fields that are not named stay; `ways` None: so do the further phones and e-mails.

    `seen` is the newest act about this owner that was shown, so that nothing is overwritten unseen; None: whatever stands.
    `owner` None makes a new owner.
    """

    owner: int | None
    told: Mapping[str, str] = field(default_factory=dict)
    ways: Sequence[ReachWay] | None = None
    spend_limit: Decimal | None = None
    sets_limit: bool = False
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class OwnerSaved:
    """The owner, and the fields that were changed."""

    owner: int
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BikeAddedRequest:
    """A further bike of an owner, by a build template or its kind alone, without a check-in."""

    owner: int
    template: str = ""
    bike_kind: str = ""
    bike_words: str = ""
    frame_number: str = ""


def change_owner(request: OwnerRequest, *, by: int, key: str, now: datetime) -> OwnerSaved:
    """Put an owner's fields right, or make a new owner.

    Raises:
        InputRefused: A field is wrong; each sentence stands at its field.
        NotPossibleNow: Somebody changed this owner since the page was shown, or the owner was erased.
    """
    kind = "owner made" if request.owner is None else "owner changed"
    private = ("told", "ways", "spend_limit")
    with act(kind, by=by, key=key, now=now, request=request, private=private) as this:
        if this.repeated:
            row = OwnerWords.objects.filter(event=this.done_before).select_related("owner").first()
            return OwnerSaved(row.owner_id if row else request.owner or 0, tuple(row.changes) if row else ())
        owner = Owner(name="") if request.owner is None else owner_to_change(request.owner)
        if request.owner is not None and request.seen is not None:
            _seen_all(owner, request.seen)
        changes = _changes(owner, request)
        if request.owner is None:
            owner.save()
        elif not changes:
            return OwnerSaved(owner.pk, ())
        this.said = {"owner": owner.pk, "fields": sorted(changes)}
        write_changes(owner, this.write(), changes)
        transaction.on_commit(tidy_outbox)
        return OwnerSaved(owner.pk, tuple(sorted(changes)))


def owner_to_change(owner: int) -> Owner:
    """Return the owner, if there is one to write about.

    Raises:
        NotFound: No such owner.
        NotPossibleNow: The owner was erased.
    """
    found = Owner.objects.select_for_update().get(pk=owner_by_id(owner).pk)
    if found.erased_at is not None:
        raise NotPossibleNow(
            worded(
                "Owner {owner} was erased: nothing more is written about them. Make a new owner.", owner=owner
            )
        )
    return found


def newest_word(owner: int) -> int:
    """Return the newest act about an owner's fields; 0 where there is none."""
    newest = OwnerWords.objects.filter(owner=owner).order_by("-event").values_list("event", flat=True).first()
    return newest or 0


def _seen_all(owner: Owner, seen: int) -> None:
    later = (
        OwnerWords.objects.filter(owner=owner, event__pk__gt=seen)
        .select_related("event__by")
        .order_by("-event")
    )
    if not later:
        return
    names = ", ".join(sorted({WORDS.get(name, name) for row in later for name in row.changes}))
    who = later[0].event.by.name
    raise NotPossibleNow(
        worded(
            "{who} changed this owner since the page was opened ({names}). Yours stands below: "
            "look, then save again to take yours.",
            who=who,
            names=names,
        )
    )


def _changes(owner: Owner, request: OwnerRequest) -> Json:
    """What is to be written: {field: [before, after]}, and of the ways what is added and removed."""
    told: dict[str, object] = dict(
        checked_fields({**({"name": ""} if owner.pk is None else {}), **request.told})
    )
    if request.sets_limit:
        limit = limit_without_a_call(request.spend_limit)
        told["spend_limit"] = None if limit is None else str(limit.quantize(Decimal("0.01")))
    before = {name: said_now(owner, name) for name in told}
    changes: Json = {name: [before[name], told[name]] for name in told if before[name] != told[name]}
    if request.ways is not None:
        ways = checked_ways(request.ways)
        added = [one for one in ways if one not in owner.ways]
        removed = [one for one in owner.ways if one not in ways]
        if added or removed:
            changes["ways"] = {"before": owner.ways, "added": added, "removed": removed}
    return changes


def limit_without_a_call(given: Decimal | None) -> Decimal | None:
    """Return a limit, if it is none or a sum in coins.

    Raises:
        InputRefused: An amount below 0, too large, or finer than the coin.
    """
    currency = terms().currency
    if given is None or (
        in_coins(given, currency) and given == round(given, 2) and 0 <= given <= _MOST_MONEY
    ):
        return given
    sentence = worded(
        "The limit without a call is {given} {currency}: 0 to {most_money} in steps of "
        "{smallest_coin} is possible. Type it again.",
        given=str(given)[:20],
        currency=currency,
        most_money=figure_text(_MOST_MONEY),
        smallest_coin=smallest_coin(currency),
    )
    raise InputRefused(sentence, {"spend_limit": sentence})


def add_bike(request: BikeAddedRequest, *, by: int, key: str, now: datetime) -> str:
    """Write down a further bike of an owner, which need not come in; return its tag.

    Raises:
        InputRefused: No such template or kind, or a text is too long.
    """
    with act("bike added", by=by, key=key, now=now, request=request, private=("frame_number",)) as this:
        if this.repeated:
            assert this.done_before.bike is not None  # such an act is always written with its bike
            return this.done_before.bike.tag
        bike: Bike = bike_from_template(
            request.template,
            owner=owner_to_change(request.owner),
            words=short(request.bike_words, "bike_words", worded("The bike in words"), 200),
            frame_number=short(request.frame_number, "frame_number", worded("The frame number"), 60),
            speeds=None,
            use_class="",
            today=local_day(now),
            bike_kind=request.bike_kind,
        )
        this.write(bike=bike)
        return bike.tag
