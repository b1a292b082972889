"""The slant of the chain: where ring and sprocket stand off one line."""

from collections.abc import Sequence
from math import atan, degrees

from pinchbolt.engines.gearing._gearing_sense import number, teeth
from pinchbolt.engines.gearing.gearing_types import Slant
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def chain_slants(
    ring_lines: Sequence[tuple[int, float]],
    sprockets: Sequence[int],
    rear_line_mm: float,
    sprocket_pitch_mm: float,
    stay_mm: float,
) -> tuple[Slant, ...]:
    """Return how far the chain slants in every gear: ``atan((ring line - sprocket line) / stay)``.

    The biggest sprocket stands innermost; sprocket lines are a pitch apart, their middle on the rear chain line.

    Args:
        ring_lines: Each chainring with its chain line, from the frame's middle. [teeth, mm]
        sprockets: Sprockets. [teeth]
        rear_line_mm: Chain line of the middle of the sprockets. [mm]
        sprocket_pitch_mm: From one sprocket to the next. [mm]
        stay_mm: Crank spindle to rear axle. [mm]

    Returns:
        Every ring with every sprocket; above 0 the ring stands further out than the sprocket. [mm, degrees]

    Raises:
        InputRefused: A figure out of any sense, no ring, or no sprocket.

    Valid for: Straight stays and a chain that is not guided on its way; wheel and crank in the middle of the frame.

    Example:
        >>> slants = chain_slants([(40, 49.0)], [11, 21, 36], 45.0, 4.0, 430.0)
        >>> [(slant.sprocket, round(slant.degrees, 2)) for slant in slants]
        [(11, 0.0), (21, 0.53), (36, 1.07)]

    Source: Geometry.
    """
    if not 1 <= len(ring_lines) <= 4 or not 1 <= len(sprockets) <= 16:
        raise InputRefused(
            worded(
                "{ring_lines} rings and {sprockets} sprockets: 1 to 4 rings and 1 to 16 sprockets. "
                "Count them.",
                ring_lines=len(ring_lines),
                sprockets=len(sprockets),
            )
        )
    rear, pitch = number("line_mm", rear_line_mm), number("pitch_mm", sprocket_pitch_mm)
    stay = number("stay_mm", stay_mm)
    wheels = sorted(teeth("sprocket", one) for one in sprockets)
    middle = (len(wheels) - 1) / 2
    found = []
    for ring, line in ring_lines:
        front = number("line_mm", line)
        for place, sprocket in enumerate(wheels):
            off = front - (rear + (middle - place) * pitch)
            found.append(Slant(teeth("ring", ring), sprocket, off, degrees(atan(off / stay))))
    return tuple(found)
