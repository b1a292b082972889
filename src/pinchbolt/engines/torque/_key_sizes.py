"""Keys and sockets: are they worn, and do they bear the torque?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Reason, Verdict
from pinchbolt.values.tool_words import tool_words
from pinchbolt.values.wording import worded

# Ask no more than this of a key's proof torque. From memory.
SHARE_OF_KEY_PROOF = 0.7
# A ball end is for finding, not for torque: half the straight end. From memory.
SHARE_OF_BALL_END = 0.5
# A six-lobe key against the size over the lobes of its screw: good down to, and off the board at. From memory.
SIX_LOBE_GOOD = 0.975
SIX_LOBE_WORN = 0.96


@dataclass(frozen=True, slots=True)
class KeyLimits:
    """What a key of this size measures when good, where it comes off the board, and its proof torque. [mm], [N·m]"""

    drive: str
    least: float
    greatest: float
    worn_at: float
    proof: float | None
    source: str


@dataclass(frozen=True, slots=True)
class SocketLimits:
    """What the socket in a screw measures when good. [mm]"""

    drive: str
    least: float
    greatest: float
    source: str


@dataclass(frozen=True, slots=True)
class SizeState:
    """A measured size against its limits: verdict, sentence and why."""

    verdict: Verdict
    words: str
    reasons: tuple[Reason, ...]


def key_state(limits: KeyLimits, measured: Interval) -> SizeState:
    """Return whether a hex or six-lobe key is still good, with the doubt of the caliper carried.

    Good from least to greatest of the standard; off the board at or under `worn_at`; between, it rounds good screws
    sooner than it should.

    Args:
        limits: Sizes of the standard and the shop's own limit. [mm]
        measured: Measured across flats, or over the lobes. [mm]

    Returns:
        Verdict: sound, keep an eye on it, next visit, or before it leaves. [-]

    Raises:
        InputRefused: Not a size a key of this drive can measure.

    Valid for: Straight ends. Measure at the end that goes into the screw.

    Example:
        >>> hex5 = KeyLimits("hex-5", 4.95, 5.00, 4.92, 30.0, "ISO 2936")
        >>> key_state(hex5, Interval(4.94, 4.94)).verdict.value
        'keep an eye on it'

    Source: ISO 2936 for hex keys; ISO 10664 for six-lobe; the distance to `worn_at` is common practice, no source.
    """
    _refuse_other_size(limits.drive, limits.greatest, measured)
    span = worded("{least:g} to {greatest:g} mm", least=limits.least, greatest=limits.greatest)
    shown = _size(measured)
    why = Reason(
        worded(
            "A good {drive} measures {span}; off the board at {worn_at:g} mm.",
            drive=tool_words(limits.drive),
            span=span,
            worn_at=limits.worn_at,
        ),
        limits.drive,
        limits.source,
    )
    if measured.high <= limits.worn_at:
        words = worded(
            "{drive} measures {shown}: worn. Take it off the board.",
            drive=tool_words(limits.drive),
            shown=shown,
        )
        return SizeState(Verdict.BEFORE_IT_LEAVES, words, (why,))
    if measured.low <= limits.worn_at:
        words = worded(
            "{drive} measures {shown}: may be worn. Measure with a micrometer, or take it off the board.",
            drive=tool_words(limits.drive),
            shown=shown,
        )
        return SizeState(Verdict.NEXT_VISIT, words, (why,))
    if measured.high < limits.least:
        words = worded(
            "{drive} measures {shown}: under the standard's {least:g} mm. Not for tight bolts.",
            drive=tool_words(limits.drive),
            shown=shown,
            least=limits.least,
        )
        return SizeState(Verdict.WATCH, words, (why,))
    if measured.low < limits.least:
        words = worded(
            "{drive} measures {shown}: cannot tell from {span}. Measure with a micrometer.",
            drive=tool_words(limits.drive),
            shown=shown,
            span=span,
        )
        return SizeState(Verdict.WATCH, words, (why,))
    return SizeState(
        Verdict.SOUND,
        worded("{drive} measures {shown}: good.", drive=tool_words(limits.drive), shown=shown),
        (why,),
    )


def six_lobe_limits(drive: str, over_lobes: float, source: str) -> KeyLimits:
    """Return limits for a six-lobe key from the size over the lobes of its screws, A.

    A key goes into the screw, so it measures under A; good down to 0.975 A, off the board at 0.96 A.

    Args:
        drive: Drive of the key. [-]
        over_lobes: Size over the lobes of the screw, A. [mm]
        source: Where A is from. [-]

    Returns:
        Limits as for `key_state`; no proof torque. [mm]

    Raises:
        InputRefused: A that is not above 0.

    Valid for: Six-lobe keys and bits, T10 to T40.

    Source: A: ISO 10664. The two shares are from memory: a new key of the shop, measured, is the better limit.
    """
    if not (isfinite(over_lobes) and over_lobes > 0):
        raise InputRefused(
            worded(
                "{drive}: size over the lobes is {over_lobes:g} mm: it is above 0. Correct the row.",
                drive=drive,
                over_lobes=over_lobes,
            )
        )
    good, worn = over_lobes * SIX_LOBE_GOOD, over_lobes * SIX_LOBE_WORN
    return KeyLimits(drive, good, over_lobes, worn, None, worded("{source}; wear from memory", source=source))


def socket_state(limits: SocketLimits, measured: Interval) -> SizeState:
    """Return whether the socket in a screw is still good, with the doubt of the gauge carried.

    Args:
        limits: Sizes of the standard for this kind of head. [mm]
        measured: Measured across flats of the socket. [mm]

    Returns:
        Verdict: sound, next visit where it cannot be told, before it leaves where it is rounded. [-]

    Raises:
        InputRefused: Not a size a socket of this drive can measure.

    Valid for: Hex sockets of new-pattern screws; button and set screws have other limits, pass theirs.

    Example:
        >>> hex5 = SocketLimits("hex-5", 5.02, 5.14, "ISO 4762")
        >>> socket_state(hex5, Interval(5.15, 5.15)).verdict.value
        'before it leaves'

    Source: ISO 4762 for cap screws.
    """
    _refuse_other_size(limits.drive, limits.greatest, measured)
    why = Reason(
        worded(
            "A good socket for a {drive} measures {least:g} to {greatest:g} mm.",
            drive=tool_words(limits.drive),
            least=limits.least,
            greatest=limits.greatest,
        ),
        limits.drive,
        limits.source,
    )
    shown = _size(measured)
    if measured.low > limits.greatest:
        words = worded(
            "the socket for a {drive} measures {shown}: rounded. Change the screw.",
            drive=tool_words(limits.drive),
            shown=shown,
        )
        return SizeState(Verdict.BEFORE_IT_LEAVES, words, (why,))
    if measured.high > limits.greatest:
        words = worded(
            "the socket for a {drive} measures {shown}: cannot tell. Try it with a new key, or "
            "change the screw.",
            drive=tool_words(limits.drive),
            shown=shown,
        )
        return SizeState(Verdict.NEXT_VISIT, words, (why,))
    return SizeState(
        Verdict.SOUND,
        worded(
            "the socket for a {drive} measures {shown}: good.", drive=tool_words(limits.drive), shown=shown
        ),
        (why,),
    )


def weak_keys(
    greatest: float, drives: Sequence[str], keys: Mapping[str, KeyLimits], *, ball_end: bool = False
) -> tuple[str, ...]:
    """Return one warning for each drive whose key is the weak part at this torque.

    A key is asked for at most 0.7 of its proof torque; a ball end for half of that.

    Args:
        greatest: Greatest torque the key may have to bear. [N·m]
        drives: Drives that the joint may have. [-]
        keys: Limits by drive; a drive without proof torque is passed over. [N·m]
        ball_end: The ball end is used. [-]

    Returns:
        Sentences that name key and limit. [-]

    Raises:
        InputRefused: A torque that is not above 0.

    Valid for: Hex keys with the hardness of ISO 2936.

    Source: Proof torque: ISO 2936; 0.7 and the half for ball ends: from memory.
    """
    if not (isfinite(greatest) and greatest > 0):
        raise InputRefused(
            worded("torque is {greatest:g} N·m: a torque is above 0. Correct it.", greatest=greatest)
        )
    return tuple(_weak(greatest, drives, keys, ball_end))


def _weak(
    greatest: float, drives: Sequence[str], keys: Mapping[str, KeyLimits], ball_end: bool
) -> Iterable[str]:
    for drive in drives:
        limits = keys.get(drive)
        if limits is None or limits.proof is None:
            continue
        bears = limits.proof * SHARE_OF_KEY_PROOF * (SHARE_OF_BALL_END if ball_end else 1.0)
        if greatest > bears:
            end = worded("ball end of the ") if ball_end else ""
            yield (
                worded(
                    "The {end}{drive} is the weak part: it may have to bear {greatest:.1f} N·m, and "
                    "should bear at most {bears:.1f}. Use a new key of full size, and stop if it twists.",
                    end=end,
                    drive=tool_words(drive),
                    greatest=greatest,
                    bears=bears,
                )
            )


def _size(measured: Interval) -> str:
    if measured.is_value:
        return f"{measured.low:.2f} mm"
    return worded("{low:.2f} to {high:.2f} mm", low=measured.low, high=measured.high)


def _refuse_other_size(drive: str, size: float, measured: Interval) -> None:
    if not (0.8 * size <= measured.low and measured.high <= 1.2 * size):
        raise InputRefused(
            worded(
                "{drive} measures {shown}: it is near {size:g} mm. Is this another size?",
                drive=drive,
                shown=_size(measured),
                size=size,
            )
        )
