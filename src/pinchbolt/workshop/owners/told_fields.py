"""The fields of an owner, what they may hold, and what each says once an act about it was taken back.

Every change stands in a private row of its act (`OwnerWords`). A field says what the newest act says that stands, else what it
said before the first: so acts may be taken back in any order.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Owner, OwnerWords
from pinchbolt.values import Json
from pinchbolt.values.plain_words import plain, same_phone
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import short

PHONE, MAIL = "phone", "e-mail"
# Each field with what it is called and how long it may be.
FIELDS: Mapping[str, tuple[str, int]] = {
    "name": (worded("The owner's name"), 120),
    "called": (worded("What they are called"), 60),
    "belongs_to": (worded("Club or firm"), 120),
    "phone": (worded("The phone number"), 40),
    "reach": (worded("How they like to be reached"), 200),
    "not_before": (worded("Not before"), 5),
    "not_after": (worded("Not after"), 5),
    "may_say_yes": (worded("Who else may say yes"), 200),
    "address": (worded("The address"), 300),
    "language": (worded("The language on papers"), 40),
    "note": (worded("The note"), 2000),
    "their_number": (worded("Their number elsewhere"), 60),
}
WORDS: Mapping[str, str] = {
    **{name: name.replace("_", " ") for name in FIELDS},
    "ways": worded("further phones and e-mails"),
    "spend_limit": worded("limit without a call"),
}
"""How a changed field is called in the history of an owner."""
_HOURS = ("not_before", "not_after")


@dataclass(frozen=True, slots=True)
class ReachWay:
    """A further phone or an e-mail, and whose it is or what it is fine for."""

    kind: str
    value: str
    whose: str = ""

    def kept(self) -> Json:
        """As it stands in the records."""
        return {"kind": self.kind, "value": self.value, "whose": self.whose}


def checked_fields(given: Mapping[str, str]) -> dict[str, str]:
    """Return the fields as they are kept.

    Raises:
        InputRefused: Too long, no name, or an hour that is none; one sentence a field.
    """
    errors: dict[str, str] = {}
    told: dict[str, str] = {}
    for name, value in given.items():
        words, most = FIELDS[name]
        try:
            told[name] = short(value, name, words, most, needed=name == "name")
            if name in _HOURS:
                told[name] = _hour(told[name], name, words)
        except InputRefused as refused:
            errors |= refused.errors
    if errors:
        raise InputRefused(next(iter(errors.values())), errors)
    return told


def _hour(value: str, name: str, words: str) -> str:
    try:
        return f"{time.fromisoformat(value.zfill(5) if ':' in value else value):%H:%M}" if value else ""
    except ValueError:
        sentence = worded(
            '{words} is "{value}": an hour such as 9:00 or 17:30 is needed. Type it again.',
            words=words,
            value=value,
        )
        raise InputRefused(sentence, {name: sentence}) from None


def checked_ways(given: Iterable[ReachWay]) -> list[Json]:
    """Return the further ways as they are kept; empty ones fall away.

    Raises:
        InputRefused: No figures in a phone, no shape of an e-mail, or more than twelve.
    """
    kept: list[Json] = []
    for number, way in enumerate(given):
        name = f"way_{number}"
        words = worded("The phone number") if way.kind == PHONE else worded("The e-mail")
        value = short(way.value, name, words, 120)
        if not value:
            continue
        domain = value.partition("@")[2]
        good = (
            any(map(str.isdigit, value))
            if way.kind == PHONE
            else value.count("@") == 1 and "." in domain.strip(".")
        )
        if way.kind not in (PHONE, MAIL) or not good or " " in domain:
            shape = "figures" if way.kind == PHONE else "name@place.something"
            sentence = worded(
                '{words} is "{value}": {shape} is the shape. Correct it, or leave it empty.',
                words=words,
                value=value[:40],
                shape=shape,
            )
            raise InputRefused(sentence, {name: sentence})
        kept.append(ReachWay(way.kind, value, short(way.whose, name, worded("Whose it is"), 60)).kept())
    if len(kept) > 12:
        raise InputRefused(
            worded("More than 12 further phones and e-mails: keep those that are used."),
            {"ways": worded("12 at most.")},
        )
    return kept


def same_way(one: Mapping[str, str], other: Mapping[str, str]) -> bool:
    """Whether two ways lead to the same place."""
    if one["kind"] != other["kind"]:
        return False
    if one["kind"] == PHONE:
        return same_phone(one["value"], other["value"])
    return plain(one["value"]) == plain(other["value"])


def said_now(owner: Owner, name: str) -> object:
    """Return a field's value as it is kept with an act."""
    value = getattr(owner, name)
    return str(value) if isinstance(value, Decimal) else value


def write_changes(owner: Owner, event: Event, changes: Json) -> None:
    """Write what an act says of an owner into its private row, and set the fields."""
    OwnerWords.objects.create(event=event, owner=owner, changes=changes)
    settle_fields(owner, changes)


def settle_fields(owner: Owner, names: Iterable[str]) -> None:
    """Let each field say what the newest act says that stands; what no act said stays."""
    rows = list(OwnerWords.objects.filter(owner=owner).order_by("event"))
    taken_back = set(
        Event.objects.filter(corrects__owner_words__owner=owner).values_list("corrects", flat=True)
    )
    for name in names:
        about = [row for row in rows if name in row.changes]
        standing = [row.changes[name] for row in about if row.pk not in taken_back]
        if not about:
            continue
        settle = _ways if name == "ways" else _value
        said = settle(about[0].changes[name], standing)
        setattr(owner, name, Decimal(said) if name == "spend_limit" and isinstance(said, str) else said)
    owner.save()


def _value(first: list[object], standing: list[list[object]]) -> object:
    return standing[-1][1] if standing else first[0]


def _ways(first: Json, standing: list[Json]) -> list[Json]:
    """What was there before the first act, with what each that stands took off and added, in turn."""
    ways: list[Json] = list(first["before"])
    for change in standing:
        ways = [one for one in ways if one not in change["removed"]]
        ways += [one for one in change["added"] if not any(same_way(one, there) for there in ways)]
    return ways
