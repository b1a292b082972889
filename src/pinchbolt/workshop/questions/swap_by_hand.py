"""A swap without records: build, goal and offers as one file gives them."""

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation

from pinchbolt.engines.fit import ItemPrice, Offer, plan_swap
from pinchbolt.errors import InputRefused
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.fit_answers import build_json
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.swap import RANKS

SHAPE = worded(
    '{"build": {...}, "goal": {...} or ["sprocket_big >= 42"], "offers": [{"id", '
    '"words", "slot", "sets", "price", "minutes"}], "items": [{"words", "price"}]}'
)


def swap_by_hand(told: object) -> Json:
    """Return the ways of a swap that a file describes; keys as in SHAPE, with labour_an_hour, rank and most beside.

    Raises:
        InputRefused: The file has another shape, or a build, goal, offer or price makes no sense.
    """
    if not isinstance(told, Mapping) or not {"build", "goal", "offers"} <= told.keys():
        sentence = worded("The file has another shape: {shape} is needed. Write it so.", shape=SHAPE)
        raise InputRefused(sentence, {"file": sentence})
    rank = str(told.get("rank", "price"))
    known = next((one for one in RANKS if one == rank), None)
    if known is None:
        sentence = worded('rank is "{rank}": {ranks}. Pick one.', rank=rank[:20], ranks=", ".join(RANKS))
        raise InputRefused(sentence, {"rank": sentence})
    found = plan_swap(
        told["build"],
        told["goal"],
        [_offer(row) for row in _rows(told["offers"], "offers")],
        tables(),
        items=[_item(row) for row in _rows(told.get("items", []), "items")],
        labour_an_hour=_money(told.get("labour_an_hour", 0), "labour_an_hour"),
        rank=known,
        most=int(str(told.get("most", 5))) if str(told.get("most", 5)).isdecimal() else 0,
        without_doubt=told.get("without_doubt") is True,
        moved=told.get("moved") if isinstance(told.get("moved"), Mapping) else None,
    )
    plans = [
        {
            "offers": [one.id for one in plan.offers],
            "words": [one.words for one in plan.offers],
            "needs": list(plan.items),
            "unpriced": [
                words for words, need in zip(plan.items, plan.needs, strict=True) if need in plan.unpriced
            ],
            "price": str(plan.price),
            "minutes": plan.minutes,
            "cost": str(plan.cost),
            "verdict": plan.verdict.verdict.value,
            "check": build_json(plan.verdict),
        }
        for plan in found.plans
    ]
    return {"plans": plans, "proved": found.proved, "clash": as_json(found.clash), "words": found.words}


def _rows(told: object, name: str) -> Sequence[Json]:
    if isinstance(told, list) and all(isinstance(row, Mapping) for row in told):
        return told
    sentence = worded('"{name}" is no list of objects: {shape}. Write it so.', name=name, shape=SHAPE)
    raise InputRefused(sentence, {name: sentence})


def _offer(row: Json) -> Offer:
    sets = row.get("sets")
    if not isinstance(sets, Mapping) or not all(row.get(name) for name in ("id", "slot")):
        sentence = worded(
            'offer "{id}" lacks its id, its slot or what it sets: {shape}. Write it so.',
            id=str(row.get("id", ""))[:40],
            shape=SHAPE,
        )
        raise InputRefused(sentence, {"offers": sentence})
    return Offer(
        str(row["id"]),
        str(row.get("words") or row["id"]),
        str(row["slot"]),
        dict(sets),
        _money(row.get("price"), "offers"),
        _minutes(row),
        row.get("in_bins") is not False,
    )


def _item(row: Json) -> ItemPrice:
    return ItemPrice(str(row.get("words", "")), _money(row.get("price"), "items"), _minutes(row))


def _minutes(row: Json) -> int:
    told = row.get("minutes", 0)
    if isinstance(told, bool) or not isinstance(told, int):
        sentence = worded('minutes are "{told}": a whole number. Write it so.', told=str(told)[:20])
        raise InputRefused(sentence, {"minutes": sentence})
    return told


def _money(told: object, name: str) -> Decimal:
    try:
        return Decimal(str(told))
    except InvalidOperation:
        sentence = worded(
            '"{name}" has the price "{told}": an amount such as 45 or 45.50. Write it so.',
            name=name,
            told=str(told)[:20],
        )
        raise InputRefused(sentence, {name: sentence}) from None
