"""What new parts show on an instrument, where what was learned of it is clearly not what such instruments show."""

from dataclasses import dataclass

from pinchbolt.engines.wear._lines import INSTRUMENTS, USUAL_KINDS, LearnedChains
from pinchbolt.values.wording import worded

NOTABLE = 0.07  # of the way from new to the limit: 0.05 % of a chain. Common practice, no source.
SURE = 2.0  # deviations of the doubt, by which it must be off
CHAIN_SPAN = 0.73


@dataclass(frozen=True, slots=True)
class GaugeDoubted:
    """An instrument of a workshop that shows new chains as worn: what they read on it, and what is usual. [percent]"""

    workshop: str
    instrument: str
    reads: float
    usual: float
    words: str


def check_the_gauge(part: str, reads: float, usual: float, doubt: float, span: float, unit: str) -> str:
    """Return the sentence for an instrument that is clearly off, else nothing. [all in the row's unit]"""
    off = abs(reads - usual)
    if off < NOTABLE * abs(span) or off < SURE * doubt:
        return ""
    sign = "%" if unit == "percent" else f" {unit}"
    return worded(
        "New {part}s read {reads:.2f}{sign} here, {usual:.2f}{sign} is usual: check the gauge.",
        part=part,
        reads=reads,
        sign=sign,
        usual=usual,
    )


def gauges_doubted(known: LearnedChains) -> tuple[GaugeDoubted, ...]:
    """Return the instruments on which new chains read clearly more, or less, than on such instruments elsewhere.

    Args:
        known: What many chains taught. [percent]

    Returns:
        One line an instrument, with a sentence. [percent]

    Valid for: Instruments of which it is clear what they are; wear and bias of one that is alone can't be told apart.

    Source: docs/methods/wear.md.
    """
    found = []
    start = known.tuning.start
    for name, shop in known.shops.items():
        for instrument, kinds, usual in zip(INSTRUMENTS, shop.kinds, USUAL_KINDS, strict=True):
            best = max(kinds, key=lambda k: k.weight)
            own = next(k for k in usual if k.name == best.name)
            reads, ought = start + best.bias, start + own.bias
            words = check_the_gauge("chain", reads, ought, best.bias_sd, CHAIN_SPAN, "percent")
            if words:
                found.append(GaugeDoubted(name, instrument, reads, ought, words))
    return tuple(found)
