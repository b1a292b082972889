"""What a certificate's points tell of a setting between them: what the bolt may be expected to get."""

from collections.abc import Iterable
from itertools import pairwise
from statistics import fmean

from pinchbolt.engines.torque.refusals import figure
from pinchbolt.engines.torque.torque_types import ToolSpec
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

SOURCE = worded("points of the certificate, ISO 6789-2; straight between them: common practice, no source")


def deviation_at(tool: ToolSpec, shown: float) -> float | None:
    """Return by how much of the true torque a tool shows too much at a setting, by its certificate.

    Between two points by a straight line; outside them nothing is known. Of points at one setting the mean counts.

    Args:
        tool: Its points, what it showed and (shown - true) / true there. [N·m]
        shown: Setting, or what it showed. [N·m]

    Returns:
        Deviation, above 0 where it shows too much; None without points on both sides. [-]

    Valid for: A tool as it was on the day of its certificate. It narrows no limit: the class is what is promised.

    Example:
        >>> wrench = ToolSpec("w", "click wrench", 2.0, 14.0, 0.06, points=((2.8, 0.04), (8.4, 0.02)))
        >>> round(deviation_at(wrench, 5.6), 4)
        0.03

    Source: Points as ISO 6789-2 has them on a certificate; the straight line is common practice, no source.
    """
    points = _points(tool)
    for at, deviation in points:
        if at == shown:
            return deviation
    for (low, there), (high, then) in pairwise(points):
        if low < shown < high:
            return there + (then - there) * (shown - low) / (high - low)
    return None


def _points(tool: ToolSpec) -> list[tuple[float, float]]:
    """The points in their order, each setting once."""
    at_setting: dict[float, list[float]] = {}
    for at, deviation in tool.points:
        at_setting.setdefault(at, []).append(deviation)
    return [(at, fmean(each)) for at, each in sorted(at_setting.items())]


def said_by_certificate(tool: ToolSpec, shown: float) -> Iterable[Reason]:
    """Yield what the tool's certificate lets expect of a setting, where it has points on both sides of it."""
    deviation = deviation_at(tool, shown)
    if deviation is None:
        return
    if abs(deviation) < 0.0005:
        words = worded(
            "By its certificate {name} shows at {shown} N·m what is true.",
            name=tool.name,
            shown=figure(shown),
        )
    else:
        way = worded("too much") if deviation > 0 else worded("too little")
        words = worded(
            "By its certificate {name} shows {deviation} {way} at {shown} N·m: expect about "
            "{true} N·m there. What is promised is its class, {tool_deviation} either way.",
            name=tool.name,
            deviation=percent(abs(deviation), 1),
            way=way,
            shown=figure(shown),
            true=figure(shown / (1 + deviation)),
            tool_deviation=percent(tool.deviation, 1),
        )
    yield Reason(words, tool.id, SOURCE)
