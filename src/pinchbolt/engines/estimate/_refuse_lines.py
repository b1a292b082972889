"""Refusals of the estimate: each says what, what is allowed, and what to do next."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from pinchbolt.engines.estimate.estimate_types import Block, LineToPrice, OperationToPrice, PartPrice, Terms
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import is_currency_code, smallest_coin, to_the_penny

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
            _refuse("id", f"line {line.words!r} has no id: every line needs one of its own. Give it one.")
        if line.id in seen:
            _refuse(
                "id",
                f"line {line.id!r} is there twice: each line has an id of its own. Take one off or rename it.",
            )
        seen.add(line.id)
        _check_whole(line.count, "count", f"count of line {line.id!r}", least=1, most=_MOST_COUNT)
        if line.operation is not None:
            _check_operation(line.operation, blocks, terms.currency)
        for part in line.parts:
            _check_part(part, terms.currency)
        if line.cost_of_waiting is not None:
            _check_number(line.cost_of_waiting, "cost_of_waiting", f"cost of waiting of line {line.id!r}")


def _check_terms(terms: Terms) -> None:
    if not (isinstance(terms.currency, str) and is_currency_code(terms.currency)):
        _refuse(
            "currency",
            f"currency is {terms.currency!r}: an ISO 4217 code is three capital letters. Write GBP for "
            "pounds.",
        )
    _check_price(terms.labour_an_hour, "labour_an_hour", "labour an hour", terms.currency)
    _check_tax(terms.tax_percent, "tax")


def _check_tax(percent: Decimal | None, named: str) -> None:
    if percent is None:
        return
    _check_number(percent, "tax_percent", named)
    if not 0 <= percent <= 100:
        _refuse(
            "tax_percent",
            f"{named} is {percent} percent: it is from 0 to 100 percent. Write 20 for a fifth on top of the "
            "net price.",
        )


def _check_operation(operation: OperationToPrice, blocks: Mapping[str, Block], currency: str) -> None:
    named = f"operation {operation.id!r}"
    _check_tax(operation.tax_percent, f"tax of {named}")
    for name, fixed in (("fixed_price", operation.fixed_price), ("by_hand", operation.by_hand)):
        if fixed is not None:
            _check_price(fixed, name, f"{name.replace('_', ' ')} of {named}", currency)
    minutes = operation.minutes
    for end in (minutes.low, minutes.usual, minutes.high):
        _check_whole(end, "minutes", f"{named}: minutes", least=0, most=_MOST_MINUTES)
    if not minutes.low <= minutes.usual <= minutes.high:
        _refuse(
            "minutes",
            f"{named} takes {minutes.low}, {minutes.usual}, {minutes.high} minutes: low, usual and high stand in "
            "that order. Put them in order.",
        )
    if len(set(operation.shares)) != len(operation.shares):
        _refuse("shares", f"{named} names a block twice: each block counts once. Take the second one off.")
    for name in operation.shares:
        if name not in blocks:
            known = ", ".join(sorted(blocks)) or "none"
            _refuse(
                "shares",
                f"{named} shares {name!r}, which is no block: there are {known}. Correct the name or add "
                "the block.",
            )
        _check_whole(blocks[name].minutes, "minutes", f"block {name!r}: minutes", least=0, most=_MOST_MINUTES)
    inside = sum(blocks[name].minutes for name in operation.shares)
    if inside > minutes.usual:
        _refuse(
            "shares",
            f"{named} usually takes {minutes.usual} minutes and its blocks {inside}: blocks are part of the "
            "operation and must fit inside it. Correct the minutes of one or the other.",
        )


def _check_part(part: PartPrice, currency: str) -> None:
    _check_price(part.each, "each", f"price of {part.name!r}", currency)
    _check_tax(part.tax_percent, f"tax of {part.name!r}")
    _check_whole(part.count, "count", f"count of {part.name!r}", least=1, most=_MOST_COUNT)


def _check_price(amount: Decimal, field: str, named: str, currency: str) -> None:
    _check_number(amount, field, named)
    if amount < 0:
        _refuse(
            field, f"{named} is {amount}: a price is 0 or above. Leave the part out if it is not charged."
        )
    if amount != to_the_penny(amount, currency):
        _refuse(
            field,
            f"{named} is {amount}: {currency} is counted in steps of {smallest_coin(currency)}, no finer. "
            "Round it first.",
        )


def _check_number(amount: Decimal, field: str, named: str) -> None:
    if not isinstance(amount, Decimal):
        _refuse(
            field,
            f"{named} is the {type(amount).__name__} {amount!r}: money is a Decimal, so that pennies are exact. "
            f'Write Decimal("{amount}").',
        )
    if not amount.is_finite():
        _refuse(field, f"{named} is {amount}: it is a finite number. Give the amount.")
    if amount.copy_abs() > _MOST_MONEY:
        _refuse(
            field, f"{named} is {amount}: no more than {_MOST_MONEY:f} is taken. Was a decimal point lost?"
        )


def _check_whole(number: int, field: str, named: str, *, least: int, most: int) -> None:
    if isinstance(number, bool) or not isinstance(number, int) or not least <= number <= most:
        _refuse(field, f"{named} is {number!r}: a whole number from {least} to {most}. Correct it.")


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, errors={field: sentence})
