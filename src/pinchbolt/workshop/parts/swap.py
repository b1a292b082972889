"""A swap: will the part fit, what else must change, the cheapest way there, and what it does to the gears."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, get_args

from django.utils import timezone

from pinchbolt.engines.fit import (
    BuildVerdict,
    Clash,
    SwapPlan,
    check_build,
    fact_names,
    not_heard,
    plan_swap,
    wants_in_words,
)
from pinchbolt.engines.gearing import Gears, GearsCompared, compared
from pinchbolt.errors import InputRefused, NotFound, PinchboltError
from pinchbolt.records.models import BinPart
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.drive import drive_of
from pinchbolt.workshop.bikes.fact_words import FactSaid, fact_said
from pinchbolt.workshop.bikes.hosts import Host, host, hosts_of_owner
from pinchbolt.workshop.bikes.movable import (
    as_called,
    kind_and_end,
    minutes_to_fit,
    movable,
    names_of,
    taken_from,
    with_what_it_carries,
)
from pinchbolt.workshop.common.fit_answers import build_json
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts._swap_offers import (
    TEETH,
    bin_offers,
    facts_at,
    moved_offers,
    small_parts,
    what_of,
    whole,
)
from pinchbolt.workshop.parts._wheel_meets import wheel_meets

Rank = Literal["price", "labour", "changes"]
# What is written in the language of the rules; anything else is words.
_CONDITION = re.compile(r"[=<>]|\b(?:known|in)\b")
RANKS: tuple[Rank, ...] = get_args(Rank)
TRAINER_RULES = ("cassette-body", "hub-frame")
Facts = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class SwapRequest:
    """Into which bike or trainer; a part to move there (`move`) out of a bike, a trainer or a bin; or what is wanted.

    `want` are wants in words, such as "a 10-44 cassette", or conditions on facts ("sprocket_big >= 44"); `rank` is price,
    labour or changes.
    """

    into: str
    move: str = ""
    out_of: str = ""
    want: tuple[str, ...] = ()
    rank: str = "price"
    without_doubt: bool = False


@dataclass(frozen=True, slots=True)
class PartOfPlan:
    """One part of a plan: what, where it goes, price and minutes; whether it is here already."""

    words: str
    slot: str
    price: Decimal
    minutes: int
    is_here: bool


@dataclass(frozen=True, slots=True)
class PlanView:
    """One way: parts to fit, what is needed besides, cost, and the check of the bike as it is then."""

    parts: tuple[PartOfPlan, ...]
    needs: tuple[str, ...]
    unpriced: tuple[str, ...]
    price: Decimal
    minutes: int
    cost: Decimal
    verdict: str
    check: Json
    gears: Gears | None
    compared: GearsCompared | None


@dataclass(frozen=True, slots=True)
class SwapView:
    """The answer: how it stands with the moved part alone, up to five ways, or the rules that clash, and the gears now.

    `understood` says what was taken of a want in words, `passed_over` which of its words went into nothing.
    """

    into: str
    into_words: str
    what: str
    understood: tuple[str, ...]
    passed_over: tuple[str, ...]
    rank: str
    words: str
    proved: bool
    standing: Json | None
    plans: tuple[PlanView, ...]
    clash: tuple[Clash, ...]
    gears: Gears | None
    gears_missing: str
    left_behind: str
    assumed: tuple[str, ...]
    currency: str


@dataclass(frozen=True, slots=True)
class _Moving:
    """The part that is moved: its facts by the names of the build, in words, and where it comes from."""

    what: str
    words: str
    facts: Mapping[str, object]
    source: Host | None
    price: Decimal = Decimal(0)
    minutes: int = 0


@one_look()
def swap(request: SwapRequest) -> SwapView:
    """Return up to five ways to a swap, best first, or why there is none.

    Raises:
        InputRefused: Nothing to move and nothing wanted, a part that is not moved like that, or a bad condition or rank.
        NotFound: No such bike, trainer or part of the bins.
    """
    request = replace(request, move=as_called(request.move))
    rank = _ranked(request.rank)
    if bool(request.move or request.out_of) == bool(request.want):
        sentence = worded(
            "A swap moves a part (move and out_of) or wants something (want): give one of the two."
        )
        raise InputRefused(sentence, {"move": sentence})
    target = host(request.into)
    moving = _moving(request, target) if request.move or request.out_of else None
    build = whole(target.facts)
    if target.speeds is not None:
        build.setdefault("speeds_bike", target.speeds)
    teeth = {name: build.pop(name) for name in TEETH if name in build}
    moved = _moved_facts(moving, target, build) if moving else {}
    # What came along with the part met before; what it meets here is told under names of its own.
    together = frozenset(moving.facts) if moving else frozenset()
    teeth_after = {**teeth, **{name: moved.pop(name) for name in TEETH if name in moved}}
    conditions, understood, passed_over = _wanted(request.want)
    rules = _rules_for(target)
    if target.is_trainer:
        asked_for = fact_names(rules)
        moved = {name: value for name, value in moved.items() if name in asked_for}
    after = {**build, **moved}
    displaced = target if moving and _carries(moving) else None
    offers = [*bin_offers(after), *moved_offers(_others(target, moving), after, own=displaced)]
    found = plan_swap(
        build,
        {n: v for n, v in _stays(moving).items() if n in moved} if moving else conditions,
        [one.offer for one in offers],
        rules,
        items=small_parts(),
        labour_an_hour=labour_on_day(timezone.localdate()),
        rank=rank,
        without_doubt=request.without_doubt,
        moved=moved,
        together=together,
    )
    now, missing = _gears({**build, **teeth})
    standing = _standing(after, rules, moved, build, together) if moving else None
    brought = {one.offer.id: one.teeth for one in offers}
    return SwapView(
        into=target.name,
        into_words=target.words,
        what=moving.words if moving else worded(" and ").join(request.want),
        understood=understood,
        passed_over=passed_over,
        rank=rank,
        words=found.words,
        proved=found.proved,
        standing=build_json(standing) if standing else None,
        plans=tuple(_plan_seen(plan, now, moving, teeth_after, brought) for plan in found.plans),
        clash=found.clash,
        gears=now,
        gears_missing=missing,
        left_behind=_left_behind(moving),
        assumed=_assumed(target, build, moving),
        currency=terms().currency,
    )


def _standing(
    after: Json, rules: object, moved: Json, before: Json, together: frozenset[str]
) -> BuildVerdict:
    """The bike with the moved part alone; what could not be told before either is kept apart."""
    facts = {name: value for name, value in after.items() if value is not None}
    return check_build(facts, rules, _known(moved), before=before, together=together, moved=moved.keys())


def _wanted(want: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Conditions as they are written, and wants in words turned into such, with what was understood and which words were not."""
    conditions: list[str] = []
    understood: list[str] = []
    passed_over: list[str] = []
    for one in want:
        if _CONDITION.search(one):
            conditions.append(one)
            continue
        found = wants_in_words(one, tables())
        conditions += [each.condition for each in found]
        understood += [each.words for each in found]
        passed_over += not_heard(one, tables())
    return tuple(conditions), tuple(understood), tuple(passed_over)


def _rules_for(target: Host) -> object:
    """All rules for a bike; an indoor trainer has a body and an axle, and no chain or brake to ask about."""
    if not target.is_trainer:
        return tables()
    return {
        "rules": {name: tables().rules[name] for name in TRAINER_RULES},
        "interfaces": tables().interfaces,
    }


def _ranked(rank: str) -> Rank:
    for one in RANKS:
        if one == rank:
            return one
    sentence = worded('rank is "{rank}": {ranks}. Pick one.', rank=rank[:20], ranks=", ".join(RANKS))
    raise InputRefused(sentence, {"rank": sentence})


def _moving(request: SwapRequest, target: Host) -> _Moving:
    """The part that is moved in, with what it carries."""
    row = BinPart.objects.filter(number=request.out_of.strip()).first()
    if row is not None:
        can_be = what_of(row)
        what = request.move or can_be[0]
        if what not in can_be:
            sentence = worded(
                "{number} is no {what}: {can_be}. Choose one.",
                number=row.number,
                what=what[:40],
                can_be=" or ".join(can_be),
            )
            raise InputRefused(sentence, {"move": sentence})
        facts = dict.fromkeys(names_of(what)) | facts_at(row.facts, what)
        minutes = row.minutes if row.minutes is not None else minutes_to_fit(what)
        return _Moving(what, f"{row.words} ({row.number})", facts, None, row.price, minutes)
    if request.move not in movable():
        sentence = worded(
            '"{move}" is not moved from bike to bike: {movable}. Choose one.',
            move=request.move[:40],
            movable=", ".join(movable()),
        )
        raise InputRefused(sentence, {"move": sentence})
    try:
        source = host(request.out_of)
    except NotFound:
        sentence = worded(
            '"{out_of}" is no tag, no indoor trainer and no part of the bins. Choose where it comes from.',
            out_of=request.out_of[:20],
        )
        raise NotFound(sentence, {"out_of": sentence}) from None
    if source.name == target.name:
        sentence = worded(
            "{name} is on both sides: a part is moved from one to another. Choose two.", name=source.name
        )
        raise InputRefused(sentence, {"out_of": sentence})
    carried = with_what_it_carries(request.move)
    facts = taken_from(source.facts, carried)
    if all(value is None for value in facts.values()):
        sentence = worded(
            "Nothing is known of the {move} of {name}: read it off and write it on the build sheet first.",
            move=request.move,
            name=source.name,
        )
        raise InputRefused(sentence, {"move": sentence})
    with_it = [kind_and_end(one)[0] for one in carried[1:] if one in movable() and one in source.parts]
    along = worded(" with its {with_it}", with_it=", ".join(with_it)) if with_it else ""
    words = worded("{move} of {name}{along}", move=request.move, name=source.name, along=along)
    return _Moving(request.move, words, facts, source, minutes=minutes_to_fit(request.move))


def _carries(moving: _Moving) -> bool:
    """Whether what moves takes other parts along, as a wheel does."""
    row = tables().kinds.get(kind_and_end(moving.what)[0])
    return row is not None and row.carries


def _moved_facts(moving: _Moving, target: Host, build: Json) -> Json:
    """What comes along, and what a wheel meets."""
    moved = dict(moving.facts)
    end = kind_and_end(moving.what)[1]
    from_trainer = moving.source is not None and moving.source.is_trainer
    if _carries(moving) and not from_trainer:
        moved |= wheel_meets(end, target, moving.source, build, moving.facts)
    return moved


def _stays(moving: _Moving) -> Json:
    """The goal: the part itself is there; what it carries may still be changed."""
    own = [name for name in names_of(moving.what) if name not in TEETH]
    return {name: moving.facts[name] for name in own if moving.facts.get(name) is not None}


def _known(moved: Json) -> list[str]:
    return [name for name, value in moved.items() if value is not None]


def _others(target: Host, moving: _Moving | None) -> tuple[Host, ...]:
    """The owner's other bikes; the one that gives the part has given it."""
    if target.owner is None:
        return ()
    there = {target.name, moving.source.name if moving and moving.source else ""}
    return tuple(one for one in hosts_of_owner(target.owner) if one.name not in there)


def _gears(build: Json) -> tuple[Gears | None, str]:
    """The gears of a build, or the sentence that says what is not known."""
    try:
        return drive_of(build).gears(), ""
    except PinchboltError as missing:
        return None, missing.sentence


def _plan_seen(
    plan: SwapPlan, now: Gears | None, moving: _Moving | None, teeth: Facts, brought: Mapping[str, Facts]
) -> PlanView:
    teeth = {**teeth, **{name: value for one in plan.offers for name, value in brought[one.id].items()}}
    after = _gears({**plan.build, **teeth})[0]
    differs = now is not None and after is not None and now.gears != after.gears
    own = (PartOfPlan(moving.words, moving.what, moving.price, moving.minutes, True),) if moving else ()
    price, minutes = (moving.price, moving.minutes) if moving else (Decimal(0), 0)
    labour = (labour_on_day(timezone.localdate()) * minutes / 60).quantize(Decimal("0.01"))
    return PlanView(
        parts=(
            *own,
            *(PartOfPlan(one.words, one.slot, one.price, one.minutes, one.in_bins) for one in plan.offers),
        ),
        needs=plan.items,
        unpriced=tuple(
            words for words, need in zip(plan.items, plan.needs, strict=True) if need in plan.unpriced
        ),
        price=plan.price + price,
        minutes=plan.minutes + minutes,
        cost=plan.cost + price + labour,
        verdict=plan.verdict.verdict.value,
        check=build_json(plan.verdict),
        gears=after if differs else None,
        compared=compared(now, after) if now and after and differs else None,
    )


def _left_behind(moving: _Moving | None) -> str:
    if moving is None or moving.source is None:
        return ""
    return worded("{name} is then without its {what}.", name=moving.source.name, what=moving.what)


def _assumed(target: Host, build: Json, moving: _Moving | None) -> tuple[str, ...]:
    if moving is None or "speeds_shifter" in build or target.speeds is None:
        return ()
    if "speeds_cassette" not in moving.facts or not _carries(moving):
        return ()
    return (
        worded(
            "The shifter is taken to have {speeds} positions, as {name} has sprockets: click "
            "through and count.",
            speeds=target.speeds,
            name=target.name,
        ),
    )


def swap_json(found: SwapView) -> Json:
    """Return a swap as plain values, every check as the fit doors say it."""
    return dict(as_json(found))


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a swap: a bike, an indoor trainer or a part of the bins, and what is known of the part in question."""

    name: str
    words: str
    facts: tuple[tuple[str, object], ...]
    is_bike: bool

    @property
    def said(self) -> tuple[FactSaid, ...]:
        """What is known, in words."""
        return tuple(fact_said(name, value) for name, value in self.facts if value is not None)


def side(named: str, what: str = "") -> Side:
    """Return one side of a swap with the facts of the movable part *what*, those not known as None.

    Raises:
        NotFound: No such bike, trainer or part of the bins.
    """
    row = BinPart.objects.filter(number=named.strip()).first()
    if row is not None:
        what = what if what in what_of(row) else what_of(row)[0]
        facts = dict.fromkeys(names_of(what)) | facts_at(row.facts, what)
        return Side(row.number, row.words, tuple(facts.items()), is_bike=False)
    found = host(named)
    told = taken_from(found.facts, with_what_it_carries(what)) if what in movable() else {}
    return Side(found.name, found.words, tuple(told.items()), is_bike=found.is_bike)
