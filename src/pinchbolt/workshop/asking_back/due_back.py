"""Who comes back: by week, as the room of the weeks lets it; safety first, each with its reason and its risk."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.engines.visits import BikeDue, plan_of_weeks
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Person, Role
from pinchbolt.values.ahead import chance_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.back_said import BackSaid
from pinchbolt.workshop.leaving.call_back import CallBackDue, all_call_backs
from pinchbolt.workshop.owners.consent import ConsentView, consents_of, look_up_consents
from pinchbolt.workshop.owners.outbox import GONE
from pinchbolt.workshop.wear.kept_ahead import PartAhead, parts_ahead

WEEKS, MOST_WEEKS = 8, 26
# A visit of one who is called back takes so long. Common practice, no source.
_MINUTES = 45.0
# Of the open hours of those who work at the stands, so much is kept for who is called back. Common practice, no source.
_ROOM_SHARE, _USUAL_WEEK = 0.15, 2400.0
# In hours of labour: what it costs that a part is past its limit at the visit, at a part that can throw the rider, and each
# week before its day. Common practice, no source.
_PAST, _PAST_SAFETY, _EARLY = 0.5, 3.0, 0.02
_LEAST_RISK = 0.02


@dataclass(frozen=True, slots=True)
class DueView:
    """A bike to ask back: whose it is, why, how likely it is past its limit by the end of its week, what was said, which ways are open.

    `ways` are those that the owner said yes to, `never_asked`: nobody has asked them for any.
    """

    tag: str
    owner: str
    owner_id: int
    reach: str
    day: date
    reason: str
    risk: float
    risk_words: str
    safety: bool
    said: BackSaid | None
    ways: tuple[ConsentView, ...]
    never_asked: bool


@dataclass(frozen=True, slots=True)
class WeekDue:
    """A week: its first day, the bikes to ask back in it, its room and what is over it. [min]"""

    first: date
    bikes: tuple[DueView, ...]
    room: int
    over: int


@dataclass(frozen=True, slots=True)
class BackList:
    """Who comes back in the weeks ahead, and of whom nobody asks just now, with why."""

    weeks: tuple[WeekDue, ...]
    not_now: tuple[DueView, ...]
    by: str


@dataclass(frozen=True, slots=True)
class _Risk:
    """A bike's chances week by week, and the part that they are of."""

    past: tuple[float, ...]
    safety: bool
    words: str
    of_part: tuple[float, ...] = ()


@one_look()
def due_back(now: datetime, weeks: int = WEEKS) -> BackList:
    """Return who is due within so many weeks.

    Raises:
        InputRefused: No week, or more than half a year.
    """
    if not 1 <= weeks <= MOST_WEEKS:
        sentence = worded(
            "{weeks} weeks are asked for: 1 to {most_weeks}. Choose fewer.",
            weeks=weeks,
            most_weeks=MOST_WEEKS,
        )
        raise InputRefused(sentence, {"weeks": sentence})
    today = local_day(now)
    monday = today - timedelta(days=today.weekday())
    edges = [max(0, (monday + timedelta(weeks=week) - today).days) for week in range(weeks + 1)]
    due = [one for one in all_call_backs(now) if one.call_back.day < monday + timedelta(weeks=weeks)]
    read: dict[int, list[PartAhead]] = {}
    for part in parts_ahead([one.bike for one in due], now, today, edges):
        read.setdefault(part.bike, []).append(part)
    risks = {one.tag: _risk_of(one, read.get(one.bike, ()), monday, weeks) for one in due}
    off = {one.tag: _off_until(one, risks[one.tag], today) for one in due}
    now_due = [one for one in due if off[one.tag] is None]
    look_up_consents({one.owner_id for one in due})
    room = _room()
    plan = plan_of_weeks([_engine(one, risks[one.tag], monday, weeks) for one in now_due], [room] * weeks)
    by_tag = {one.tag: one for one in due}
    found = [
        WeekDue(
            monday + timedelta(weeks=week),
            tuple(_view(by_tag[one.name], risks[one.name], week) for one in plan.asked if one.week == week),
            round(room),
            round(plan.over[week]),
        )
        for week in range(weeks)
    ]
    not_now = tuple(_view(one, risks[one.tag], weeks - 1) for one in due if off[one.tag] is not None)
    return BackList(tuple(found), tuple(one for one in not_now if not _over(one)), plan.by)


def _off_until(one: CallBackDue, risk: _Risk, today: date) -> date | None:
    return None if one.said is None else one.said.off_until(today, safety=risk.safety)


def _over(one: DueView) -> bool:
    """Whether nothing is to be done any more: the bike is sold. What an owner does not want is shown, so that nobody asks twice."""
    return one.said is not None and one.said.what == GONE


def _engine(one: CallBackDue, risk: _Risk, monday: date, weeks: int) -> BikeDue:
    labour = float(terms().labour_an_hour)
    own = min(max(0, (one.call_back.day - monday).days // 7), weeks - 1)
    loss = labour * (_PAST_SAFETY if risk.safety else _PAST)
    return BikeDue(one.tag, risk.past, own, _MINUTES, loss, labour * _EARLY, risk.safety)


def _risk_of(one: CallBackDue, parts: Sequence[PartAhead], monday: date, weeks: int) -> _Risk:
    """The part that is likeliest past its limit; of a joint or an agreed day, whether its day has come: whichever is worse."""
    is_joint = one.call_back.about in {row.name for row in tables().joints.values()}
    day = one.call_back.day
    day_comes = [1.0 if monday + timedelta(weeks=week) > day else 0.0 for week in range(weeks + 1)]
    likely = [part for part in parts if part.chances[-1] >= _LEAST_RISK]
    worst = max(likely, key=lambda part: (part.safety, part.chances[-1]), default=None)
    if worst is None:
        return _Risk(tuple(day_comes), is_joint, "")
    # What a part's own forecast says needs no day; a joint's months are over on theirs.
    past = [max(a, b) for a, b in zip(worst.chances, day_comes, strict=True)] if is_joint else worst.chances
    return _Risk(tuple(past), worst.safety or is_joint, worst.words, worst.chances)


def _view(one: CallBackDue, risk: _Risk, week: int) -> DueView:
    said = consents_of(one.owner_id)
    ways = tuple(each for each in said if each.about == "call-backs")
    chance = risk.past[week + 1]
    of_part = risk.of_part[week + 1] if risk.of_part else 0.0
    words = (
        f"{risk.words}: {chance_words(of_part, worded('past its limit by then'))}"
        if of_part >= _LEAST_RISK
        else ""
    )
    return DueView(
        one.tag, one.owner, one.owner_id, one.reach, one.call_back.day, one.call_back.reason, chance, words, risk.safety,
        one.said, tuple(each for each in ways if each.yes), all(each.yes is None for each in ways),
    )  # fmt: skip


def _room() -> float:
    """Bench minutes of a week that are kept for who is called back."""
    people = Person.objects.filter(is_active=True).exclude(role=Role.COUNTER).count()
    return max(1, people) * _open_minutes(terms().open_days) * _ROOM_SHARE


def _open_minutes(days: Mapping[str, Sequence[str]]) -> float:
    if not days:
        return _USUAL_WEEK
    return sum(_clock(last) - _clock(first) for first, last in days.values())


def _clock(text: str) -> float:
    hours, _, minutes = text.partition(":")
    return 60 * float(hours) + float(minutes or 0)
