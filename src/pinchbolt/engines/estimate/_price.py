"""Lines, minutes and money of an estimate."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from pinchbolt.engines.estimate._refuse_lines import refuse_unsound
from pinchbolt.engines.estimate.estimate_types import (
    Block,
    LinePriced,
    LineToPrice,
    Minutes,
    PricedEstimate,
    Terms,
)
from pinchbolt.values import Reason
from pinchbolt.values.money import EXACT, money_sum, money_text, to_the_penny

_NONE = Minutes(0, 0, 0)


def price(lines: Sequence[LineToPrice], terms: Terms, blocks: Mapping[str, Block]) -> PricedEstimate:
    """Return what *lines* cost, each to the penny, with work that they share counted once.

    ``minutes(A and B) = minutes(A) + minutes(B) - minutes of each block that both bring``. A block is charged
    to the first line that brings it, in the order given; later lines say what they were spared. Labour of a
    line is ``minutes * labour an hour / 60``, rounded to the penny on the line, so the total is the sum of
    what is printed. Tax is inside every price: ``tax = total * t / (100 + t)`` a line, rounded there too.

    Args:
        lines: Operations with their parts, in the order in which they are printed. [min, currency]
        terms: Labour an hour and tax. [currency/h, %]
        blocks: Shared work by id. [min]

    Returns:
        Lines and sums; `high_total` takes the high minutes; `total_if_left` adds the known costs of waiting.
            [currency]

    Raises:
        InputRefused: A price that is no Decimal, negative, not finite or finer than the smallest coin; a count
            below 1; minutes out of order; an unknown block, or blocks longer than their operation; two lines
            of one id.

    Valid for: One bike, one visit, one mechanic's pace; minutes of an apprentice are scaled by the caller. The
        minutes of a block are one figure, so the low end of a line is never below the blocks it holds.

    Example:
        >>> blocks = {"on-stand": Block("on-stand", "on the stand", 2)}
        >>> true = OperationToPrice("rotor-true", "true a rotor", Minutes(5, 10, 18), ("on-stand",))
        >>> line = LineToPrice("1", "rear rotor", true, (), Verdict.NEXT_VISIT)
        >>> price([line], Terms(Decimal("45.00"), Decimal("20"), "GBP"), blocks).total
        Decimal('7.50')

    Source: Shared work: common practice, no source. Tax contained in a price: the fraction t / (100 + t), VAT
        Notice 700 (from memory). Coins: ISO 4217.
    """
    refuse_unsound(lines, terms, blocks)
    brought: dict[tuple[str, str], LineToPrice] = {}
    priced = tuple(_price_line(line, terms, blocks, brought) for line in lines)
    return _add_up(priced, terms)


def _price_line(
    line: LineToPrice, terms: Terms, blocks: Mapping[str, Block], brought: dict[tuple[str, str], LineToPrice]
) -> LinePriced:
    spared, spared_reasons = _spared(line, blocks, brought)
    whole = _whole_minutes(line, blocks)
    minutes = Minutes(whole.low - spared, whole.usual - spared, whole.high - spared)
    labour, high_labour = _labour(minutes.usual, terms), _labour(minutes.high, terms)
    parts_total = to_the_penny(
        money_sum(EXACT.multiply(part.each, part.count) for part in line.parts), terms.currency
    )
    total = EXACT.add(labour, parts_total)
    waiting = line.cost_of_waiting
    return LinePriced(
        id=line.id,
        words=line.words,
        verdict=line.verdict,
        minutes=minutes,
        labour=labour,
        parts=line.parts,
        parts_total=parts_total,
        total=total,
        high_total=EXACT.add(high_labour, parts_total),
        tax=_tax_inside(total, terms),
        cost_of_waiting=None if waiting is None else to_the_penny(waiting, terms.currency),
        reasons=(*_line_reasons(line, minutes, labour, parts_total, terms, blocks), *spared_reasons),
        saved_minutes=spared,
    )


def _spared(
    line: LineToPrice, blocks: Mapping[str, Block], brought: dict[tuple[str, str], LineToPrice]
) -> tuple[int, tuple[Reason, ...]]:
    """Minutes of the blocks that earlier lines brought, and why; notes the blocks that this line brings."""
    minutes, reasons = 0, []
    for name in line.operation.shares if line.operation else ():
        block = blocks[name]
        # Two places that nobody named are not taken for one.
        key = (name, (line.place or f"of line {line.id}") if block.at_place else "")
        first = brought.setdefault(key, line)
        if first is not line:
            minutes += block.minutes
            words = f"{block.words}: {block.minutes} minutes less, already in {first.words!r}."
            reasons.append(Reason(words, row=block.id, source=block.source))
    return minutes, tuple(reasons)


def _whole_minutes(line: LineToPrice, blocks: Mapping[str, Block]) -> Minutes:
    if line.operation is None:
        return _NONE
    asked = line.operation.minutes
    # A block has one figure, so a quick line still holds its blocks; without this the total of the low ends
    # would depend on the order of the lines.
    return Minutes(max(asked.low, _inside(line, blocks)), asked.usual, asked.high)


def _inside(line: LineToPrice, blocks: Mapping[str, Block]) -> int:
    return sum(blocks[name].minutes for name in line.operation.shares) if line.operation else 0


def _labour(minutes: int, terms: Terms) -> Decimal:
    return to_the_penny(
        EXACT.divide(EXACT.multiply(terms.labour_an_hour, Decimal(minutes)), Decimal(60)), terms.currency
    )


def _tax_inside(total: Decimal, terms: Terms) -> Decimal:
    share = EXACT.divide(EXACT.multiply(total, terms.tax_percent), EXACT.add(Decimal(100), terms.tax_percent))
    return to_the_penny(share, terms.currency)


def _line_reasons(
    line: LineToPrice,
    minutes: Minutes,
    labour: Decimal,
    parts_total: Decimal,
    terms: Terms,
    blocks: Mapping[str, Block],
) -> list[Reason]:
    reasons = []
    if line.operation is not None:
        rate = money_text(terms.labour_an_hour, terms.currency)
        words = (
            f"{line.operation.name}: {minutes.usual} minutes ({minutes.low} to {minutes.high}) at {rate} an hour "
            f"is {money_text(labour, terms.currency)}."
        )
        reasons.append(Reason(words, row=line.operation.id, source=line.operation.source))
        inside = _inside(line, blocks)
        if line.operation.minutes.low < inside:
            low = line.operation.minutes.low
            words = f"Low end {inside} minutes, not {low}: the shared work inside it takes that long."
            reasons.append(Reason(words, row=line.operation.id))
    if line.parts:
        each = ", ".join(
            f"{part.count} x {part.name} at {money_text(part.each, terms.currency)}" for part in line.parts
        )
        reasons.append(Reason(f"Parts: {each} is {money_text(parts_total, terms.currency)}."))
    return reasons


def _add_up(lines: tuple[LinePriced, ...], terms: Terms) -> PricedEstimate:
    currency = terms.currency
    total, high_total, tax = (
        to_the_penny(money_sum(amounts), currency)
        for amounts in (
            [line.total for line in lines],
            [line.high_total for line in lines],
            [line.tax for line in lines],
        )
    )
    known = [line.cost_of_waiting for line in lines if line.cost_of_waiting is not None]
    return PricedEstimate(
        lines=lines,
        minutes=Minutes(
            low=sum(line.minutes.low for line in lines),
            usual=sum(line.minutes.usual for line in lines),
            high=sum(line.minutes.high for line in lines),
        ),
        saved_minutes=sum(line.saved_minutes for line in lines),
        total=total,
        high_total=high_total,
        tax=tax,
        net=EXACT.subtract(total, tax),
        total_if_left=money_sum([total, *known]),
        currency=currency,
        reasons=_whole_reasons(lines, terms),
        waiting_unknown=tuple(line.id for line in lines if line.cost_of_waiting is None),
    )


def _whole_reasons(lines: tuple[LinePriced, ...], terms: Terms) -> tuple[Reason, ...]:
    reasons = [
        Reason(
            f"Tax of {EXACT.normalize(terms.tax_percent):f} percent is inside every price. It is rounded on each "
            "line, and the sum of the lines is the total."
        )
    ]
    saved = sum(line.saved_minutes for line in lines)
    if saved:
        reasons.append(
            Reason(f"Shared work is counted once: {saved} minutes less than the lines one by one.")
        )
    unknown = [line.words for line in lines if line.cost_of_waiting is None]
    if unknown:
        reasons.append(
            Reason(
                f"What waiting costs is not known for {', '.join(unknown)}: left out of the total if left."
            )
        )
    return tuple(reasons)
