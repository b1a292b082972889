"""Lines, minutes and money of an estimate."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from pinchbolt.engines.estimate._add_up import add_up
from pinchbolt.engines.estimate._refuse_lines import refuse_unsound
from pinchbolt.engines.estimate.estimate_types import (
    AtRate,
    Block,
    LinePriced,
    LineToPrice,
    Minutes,
    PricedEstimate,
    Terms,
)
from pinchbolt.values import Reason
from pinchbolt.values.money import EXACT, money_sum, money_text, to_the_penny
from pinchbolt.values.wording import worded

_NONE = Minutes(0, 0, 0)


def price(
    lines: Sequence[LineToPrice],
    terms: Terms,
    blocks: Mapping[str, Block],
    told: Sequence[LineToPrice] = (),
) -> PricedEstimate:
    """Return what *lines* cost, each to the coin, with work that they share counted once.

    ``minutes(A and B) = minutes(A) + minutes(B) - minutes of each block that both bring``. A block is charged
    to the first line that brings it, those *told* to the owner before first of all; each later line is spared it.
    Labour of a line is ``minutes * labour an hour / 60``, rounded to the coin on the line: once with all its blocks
    (`price`) and once without what it was spared (`total`); the difference is `saved`. So every sum is that of what is
    printed, and no line costs more because another is declined. An operation with a fixed price, or one by hand, costs
    that, whatever it shares.

    Args:
        lines: Operations with their parts, in the order in which they are printed. [min, currency]
        terms: Labour an hour and usual tax. [currency/h, %]
        blocks: Shared work by id. [min]
        told: Lines whose price stands already: they are not priced, their blocks are done. [-]

    Returns:
        Lines and sums; `high_total` takes the high minutes. [currency]

    Raises:
        InputRefused: A price that is no Decimal, negative, not finite or finer than the smallest coin; a count
            below 1; minutes out of order; an unknown block, or blocks longer than their operation; two lines
            of one id.

    Valid for: One bike, one visit, one mechanic's pace; minutes of an apprentice are scaled by the caller. The
        minutes of a block are one figure, so the low end of a line is never below the blocks it holds.

    Example:
        >>> blocks = {"on-stand": Block("on-stand", "on the stand", 2)}
        >>> true = OperationToPrice("rotor-true", "true a rotor", Minutes(5, 10, 18), ("on-stand",))
        >>> lines = [LineToPrice(id, f"{id} rotor", true, (), Verdict.WATCH) for id in ("front", "rear")]
        >>> seen = price(lines, Terms(Decimal("45.00"), Decimal("20"), "GBP"), blocks)
        >>> [(line.price, line.saved) for line in seen.lines], seen.total
        ([(Decimal('7.50'), Decimal('0.00')), (Decimal('7.50'), Decimal('1.50'))], Decimal('13.50'))

    Source: Shared work, and that a price told to the owner only falls: common practice, no source. Coins: ISO 4217.
    """
    refuse_unsound([*told, *lines], terms, blocks)
    brought: dict[tuple[str, str], LineToPrice] = {}
    for line in told:
        _spared(line, blocks, brought)
    return add_up([_price_line(line, terms, blocks, brought) for line in lines], terms.currency)


def _price_line(
    line: LineToPrice, terms: Terms, blocks: Mapping[str, Block], brought: dict[tuple[str, str], LineToPrice]
) -> LinePriced:
    spared, spared_reasons = _spared(line, blocks, brought)
    whole = _whole_minutes(line, blocks)
    minutes = Minutes(whole.low - spared, whole.usual - spared, whole.high - spared)
    labour = _labour_of(line, whole.usual, terms)
    saved = EXACT.subtract(labour, _labour_of(line, minutes.usual, terms))
    parts_total = to_the_penny(
        money_sum(EXACT.multiply(part.each, part.count) for part in line.parts), terms.currency
    )
    whole_price, waiting = EXACT.add(labour, parts_total), line.cost_of_waiting
    return LinePriced(
        id=line.id,
        words=line.words,
        verdict=line.verdict,
        minutes=minutes,
        labour=labour,
        parts=line.parts,
        parts_total=parts_total,
        price=whole_price,
        saved=saved,
        total=EXACT.subtract(whole_price, saved),
        high_total=EXACT.add(_labour_of(line, minutes.high, terms), parts_total),
        amounts=_amounts(line, EXACT.subtract(labour, saved), terms),
        cost_of_waiting=None if waiting is None else to_the_penny(waiting, terms.currency),
        reasons=(*_line_reasons(line, whole, labour, parts_total, terms, blocks), *spared_reasons),
        saved_minutes=spared,
        place=line.place,
        count=line.count,
    )


def _spared(
    line: LineToPrice, blocks: Mapping[str, Block], brought: dict[tuple[str, str], LineToPrice]
) -> tuple[int, tuple[Reason, ...]]:
    """Minutes of the blocks that earlier lines brought, and why; notes the blocks that this line brings."""
    minutes, reasons = 0, []
    for name in line.operation.shares if line.operation else ():
        block = blocks[name]
        # Two places that nobody named are not taken for one.
        key = (name, (line.place or worded("of line {id}", id=line.id)) if block.at_place else "")
        first = brought.setdefault(key, line)
        if first is not line:
            minutes += block.minutes
            words = worded(
                "{words}: {minutes} minutes less, already in {first_words!r}.",
                words=block.words,
                minutes=block.minutes,
                first_words=first.words,
            )
            reasons.append(Reason(words, row=block.id, source=block.source))
    return minutes, tuple(reasons)


def _whole_minutes(line: LineToPrice, blocks: Mapping[str, Block]) -> Minutes:
    """Minutes of the line by itself: its blocks and what comes off first once, the rest as many times as it is done."""
    if line.operation is None:
        return _NONE
    asked, once, again = line.operation.minutes, line.operation.once, line.count - 1
    inside = _inside(line, blocks)
    # A block has one figure, so a quick line still holds its blocks; without this the total of the low ends
    # would depend on the order of the lines.
    low = max(asked.low, inside)
    ends = ((low, once.low), (asked.usual, once.usual), (asked.high, once.high))
    return Minutes(*(end + again * max(end - inside - first, 0) for end, first in ends))


def _inside(line: LineToPrice, blocks: Mapping[str, Block]) -> int:
    return sum(blocks[name].minutes for name in line.operation.shares) if line.operation else 0


def _labour_of(line: LineToPrice, minutes: int, terms: Terms) -> Decimal:
    """Labour of a line by its minutes; a fixed price stands whatever they are, and a price by hand before it."""
    if line.operation is not None and line.operation.by_hand is not None:
        return line.operation.by_hand
    fixed = line.operation.fixed_price if line.operation else None
    return _labour(minutes, terms) if fixed is None else EXACT.multiply(fixed, Decimal(line.count))


def _labour(minutes: int, terms: Terms) -> Decimal:
    return to_the_penny(
        EXACT.divide(EXACT.multiply(terms.labour_an_hour, Decimal(minutes)), Decimal(60)), terms.currency
    )


def _amounts(line: LineToPrice, labour: Decimal, terms: Terms) -> tuple[AtRate, ...]:
    """The total of a line, shared out among the rates of its labour and its parts."""
    own = line.operation.tax_percent if line.operation else None
    charged = [(own, labour)] if line.operation else []
    charged += [(part.tax_percent, EXACT.multiply(part.each, Decimal(part.count))) for part in line.parts]
    usual, sums = terms.tax_percent, dict[Decimal | None, Decimal]()
    for rate, amount in charged:
        at = None if usual is None else usual if rate is None else rate
        sums[at] = EXACT.add(sums.get(at, Decimal(0)), amount)
    return tuple(AtRate(rate, to_the_penny(amount, terms.currency)) for rate, amount in sums.items())


def _line_reasons(
    line: LineToPrice,
    minutes: Minutes,
    labour: Decimal,
    parts_total: Decimal,
    terms: Terms,
    blocks: Mapping[str, Block],
) -> list[Reason]:
    reasons, country = [], terms.country
    if line.operation is not None:
        rate, done = money_text(terms.labour_an_hour, terms.currency, country), line.operation
        times = f"{line.count} x " if line.count > 1 else ""
        how = worded(
            "{usual} minutes ({low} to {high}) at {rate} an hour is",
            usual=minutes.usual,
            low=minutes.low,
            high=minutes.high,
            rate=rate,
        )
        how = how if done.fixed_price is None else worded("at a fixed price,")
        how = how if done.by_hand is None else worded("at a price set by hand,")
        words = f"{times}{done.name}: {how} {money_text(labour, terms.currency, country)}."
        reasons.append(Reason(words, row=done.id, source=done.source))
        inside = _inside(line, blocks)
        if done.minutes.low < inside and done.fixed_price is None and done.by_hand is None:
            words = worded(
                "Low end {inside} minutes, not {low}: the shared work inside it takes that long.",
                inside=inside,
                low=done.minutes.low,
            )
            reasons.append(Reason(words, row=done.id))
    if line.parts:
        each = ", ".join(
            worded(
                "{count} x {name} at {each}",
                count=part.count,
                name=part.name,
                each=money_text(part.each, terms.currency, country),
            )
            for part in line.parts
        )
        reasons.append(
            Reason(
                worded(
                    "Parts: {each} is {parts_total}.",
                    each=each,
                    parts_total=money_text(parts_total, terms.currency, country),
                )
            )
        )
    return reasons
