"""The estimate once the owner has answered."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from pinchbolt.engines.estimate._price import price
from pinchbolt.engines.estimate.estimate_types import Block, LinePriced, LineToPrice, PricedEstimate, Terms
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.money import EXACT, money_text


def agreed_only(
    lines: Sequence[LineToPrice], terms: Terms, blocks: Mapping[str, Block], agreed_ids: Collection[str]
) -> PricedEstimate:
    """Return the price of the lines that were agreed, and say where it differs from the whole estimate.

    A block that was charged to a declined line moves to the first agreed line that needs it, so that line
    costs more than was asked; its reasons, and those of the whole, say so and by how much.

    Args:
        lines: All lines of the estimate, as they were asked. [min, currency]
        terms: Labour an hour and tax. [currency/h, %]
        blocks: Shared work by id. [min]
        agreed_ids: Ids of the lines that were agreed. [-]

    Returns:
        The agreed lines priced on their own. [currency]

    Raises:
        InputRefused: An id that is not on the estimate, or anything that `price` refuses.

    Valid for: As `price`.

    Example:
        >>> blocks = {"on-stand": Block("on-stand", "on the stand", 2)}
        >>> true = OperationToPrice("rotor-true", "true a rotor", Minutes(5, 10, 18), ("on-stand",))
        >>> lines = [LineToPrice(id, f"{id} rotor", true, (), Verdict.WATCH) for id in ("front", "rear")]
        >>> terms = Terms(Decimal("45.00"), Decimal("20"), "GBP")
        >>> [line.total for line in price(lines, terms, blocks).lines]
        [Decimal('7.50'), Decimal('6.00')]
        >>> agreed_only(lines, terms, blocks, {"rear"}).total
        Decimal('7.50')

    Source: Common practice, no source.
    """
    asked = {line.id for line in lines}
    strangers = sorted(set(agreed_ids) - asked)
    if strangers:
        known = ", ".join(sorted(asked)) or "no lines"
        sentence = (
            f"agreed line {strangers[0]!r} is not on this estimate: it has {known}. "
            "Take the answer from the estimate that was shown."
        )
        raise InputRefused(sentence, errors={"agreed_ids": sentence})
    whole = {line.id: line for line in price(lines, terms, blocks).lines}
    alone = price([line for line in lines if line.id in agreed_ids], terms, blocks)
    moved = {line.id: _moved(line, whole[line.id], terms.currency) for line in alone.lines}
    return replace(
        alone,
        lines=tuple(replace(line, reasons=(*line.reasons, *moved[line.id])) for line in alone.lines),
        reasons=(*alone.reasons, *(reason for line in alone.lines for reason in moved[line.id])),
    )


def _moved(now: LinePriced, before: LinePriced, currency: str) -> tuple[Reason, ...]:
    minutes = now.minutes.usual - before.minutes.usual
    if minutes == 0:
        return ()
    more = money_text(EXACT.subtract(now.total, before.total), currency)
    return (
        Reason(
            f"{now.words}: {minutes} minutes and {more} more than on the whole estimate, because the shared "
            "work was charged to a line that is not done."
        ),
    )
