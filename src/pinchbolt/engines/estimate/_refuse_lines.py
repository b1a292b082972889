"""Refusals of the estimate: each says what, what is allowed, and what to do next."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from pinchbolt.engines.estimate.estimate_types import Block, LineToPrice, OperationToPrice, PartPrice, Terms
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import is_currency_code, smallest_coin, to_the_penny
from pinchbolt.values.wording import worded

# Far above any bench, and far inside the digits that the sums are carried with.
_MOST_MONEY = Decimal(10) ** 9
_MOST_COUNT = 10_000
_MOST_MINUTES = 10_000


def refuse_unsound(lines: Sequence[LineToPrice], terms: Terms, blocks: Mapping[str, Block]) -> None:
    """Refuse the first thing in *lines*, *terms* or *blocks* that cannot be priced."""
    _check_terms(terms)
    seen: set[str] = set()
    for line in lines:
        if not line.id:
            _refuse(
                "id",
                worded(
                    "line {words!r} has no id: every line needs one of its own. Give it one.",
                    words=line.words,
                ),
            )
        if line.id in seen:
            _refuse(
                "id",
                worded(
                    "line {id!r} is there twice: each line has an id of its own. Take one off or rename it.",
                    id=line.id,
                ),
            )
        seen.add(line.id)
        _check_whole(
            line.count, "count", worded("count of line {id!r}", id=line.id), least=1, most=_MOST_COUNT
        )
        if line.operation is not None:
            _check_operation(line.operation, blocks, terms.currency)
        for part in line.parts:
            _check_part(part, terms.currency)
        if line.cost_of_waiting is not None:
            _check_number(
                line.cost_of_waiting, "cost_of_waiting", worded("cost of waiting of line {id!r}", id=line.id)
            )


def _check_terms(terms: Terms) -> None:
    if not (isinstance(terms.currency, str) and is_currency_code(terms.currency)):
        _refuse(
            "currency",
            worded(
                "currency is {currency!r}: an ISO 4217 code is three capital letters. Write GBP for pounds.",
                currency=terms.currency,
            ),
        )
    _check_price(terms.labour_an_hour, "labour_an_hour", worded("labour an hour"), terms.currency)
    _check_tax(terms.tax_percent, "tax")


def _check_tax(percent: Decimal | None, named: str) -> None:
    if percent is None:
        return
    _check_number(percent, "tax_percent", named)
    if not 0 <= percent <= 100:
        _refuse(
            "tax_percent",
            worded(
                "{named} is {percent} percent: it is from 0 to 100 percent. Write 20 for a fifth on "
                "top of the net price.",
                named=named,
                percent=percent,
            ),
        )


def _check_operation(operation: OperationToPrice, blocks: Mapping[str, Block], currency: str) -> None:
    named = worded("operation {id!r}", id=operation.id)
    _check_tax(operation.tax_percent, worded("tax of {named}", named=named))
    for name, fixed in (("fixed_price", operation.fixed_price), ("by_hand", operation.by_hand)):
        if fixed is not None:
            _check_price(
                fixed, name, worded("{name} of {named}", name=name.replace("_", " "), named=named), currency
            )
    minutes = operation.minutes
    for end in (minutes.low, minutes.usual, minutes.high):
        _check_whole(end, "minutes", worded("{named}: minutes", named=named), least=0, most=_MOST_MINUTES)
    if not minutes.low <= minutes.usual <= minutes.high:
        _refuse(
            "minutes",
            worded(
                "{named} takes {low}, {usual}, {high} minutes: low, usual and high stand in that "
                "order. Put them in order.",
                named=named,
                low=minutes.low,
                usual=minutes.usual,
                high=minutes.high,
            ),
        )
    if len(set(operation.shares)) != len(operation.shares):
        _refuse(
            "shares",
            worded(
                "{named} names a block twice: each block counts once. Take the second one off.", named=named
            ),
        )
    for name in operation.shares:
        if name not in blocks:
            known = ", ".join(sorted(blocks)) or "none"
            _refuse(
                "shares",
                worded(
                    "{named} shares {name!r}, which is no block: there are {known}. Correct the name or "
                    "add the block.",
                    named=named,
                    name=name,
                    known=known,
                ),
            )
        _check_whole(
            blocks[name].minutes,
            "minutes",
            worded("block {name!r}: minutes", name=name),
            least=0,
            most=_MOST_MINUTES,
        )
    _check_inside(operation, blocks, named)


def _check_inside(operation: OperationToPrice, blocks: Mapping[str, Block], named: str) -> None:
    """Blocks are part of an operation."""
    inside = sum(blocks[name].minutes for name in operation.shares)
    if inside > operation.minutes.usual:
        _refuse(
            "shares",
            worded(
                "{named} usually takes {usual} minutes and its blocks {inside}: blocks are part of "
                "the operation and must fit inside it. Correct the minutes of one or the other.",
                named=named,
                usual=operation.minutes.usual,
                inside=inside,
            ),
        )


def _check_part(part: PartPrice, currency: str) -> None:
    _check_price(part.each, "each", worded("price of {name!r}", name=part.name), currency)
    _check_tax(part.tax_percent, worded("tax of {name!r}", name=part.name))
    _check_whole(part.count, "count", worded("count of {name!r}", name=part.name), least=1, most=_MOST_COUNT)


def _check_price(amount: Decimal, field: str, named: str, currency: str) -> None:
    _check_number(amount, field, named)
    if amount < 0:
        _refuse(
            field,
            worded(
                "{named} is {amount}: a price is 0 or above. Leave the part out if it is not charged.",
                named=named,
                amount=amount,
            ),
        )
    if amount != to_the_penny(amount, currency):
        _refuse(
            field,
            worded(
                "{named} is {amount}: {currency} is counted in steps of {smallest_coin}, no finer. "
                "Round it first.",
                named=named,
                amount=amount,
                currency=currency,
                smallest_coin=smallest_coin(currency),
            ),
        )


def _check_number(amount: Decimal, field: str, named: str) -> None:
    if not isinstance(amount, Decimal):
        _refuse(
            field,
            worded(
                "{named} is the {name} {amount!r}: money is a Decimal, so that pennies are exact. "
                'Write Decimal("{amount}").',
                named=named,
                name=type(amount).__name__,
                amount=amount,
            ),
        )
    if not amount.is_finite():
        _refuse(
            field,
            worded(
                "{named} is {amount}: it is a finite number. Give the amount.", named=named, amount=amount
            ),
        )
    if amount.copy_abs() > _MOST_MONEY:
        _refuse(
            field,
            worded(
                "{named} is {amount}: no more than {most_money:f} is taken. Was a decimal point lost?",
                named=named,
                amount=amount,
                most_money=_MOST_MONEY,
            ),
        )


def _check_whole(number: int, field: str, named: str, *, least: int, most: int) -> None:
    if isinstance(number, bool) or not isinstance(number, int) or not least <= number <= most:
        _refuse(
            field,
            worded(
                "{named} is {number!r}: a whole number from {least} to {most}. Correct it.",
                named=named,
                number=number,
                least=least,
                most=most,
            ),
        )


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, errors={field: sentence})
