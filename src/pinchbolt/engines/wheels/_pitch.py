"""The pitch of a plucked spoke: its spectrum, with the partials as witnesses, and what else is heard."""

from dataclasses import dataclass
from math import log2

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wheels._wave import Sound
from pinchbolt.engines.wheels._wheel_sense import Floats
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values.wording import worded

# Spokes sound between these; from a long loose one to a short tight one. Own bounds.
LOWEST, HIGHEST = 120.0, 1500.0
# Length of the piece that is looked at, and what is left out after the pluck while the finger still touches. [s]
PIECE, AFTER_PLUCK, LEAST_PIECE = 0.49, 0.03, 0.12
# A tone stands this many times over the floor around it; a peak may be this much softer than the loudest. Own choice.
OVER_FLOOR, SOFTEST = 6.0, 0.03
# A partial of a stiff spoke lies up to this much above the whole multiple: by the beam 3 and 8 % at 260 mm, 2.0 mm clamped and
# 1000 N, 19 and 43 % at 100 N.
SHARP = {2: 0.20, 3: 0.45}
# A second tone this near (and not nearer) and this loud is another spoke; nearer it is one spoke's two ways to swing.
APART, WITHIN, AS_LOUD = 0.02, 0.35, 0.09
MAINS = (50.0, 60.0)


@dataclass(frozen=True, slots=True)
class Pitch:
    """Frequency in Hz with its sd, the partials that were heard, the second tone if two spokes sound, and in words."""

    frequency: float
    sd: float
    partials: tuple[float, ...]
    second: float | None
    note: str
    words: str


@dataclass(frozen=True, slots=True)
class _Peaks:
    """Frequencies and heights of what stands out of the floor."""

    at: Floats
    height: Floats


def pluck_pitch(sound: Sound) -> Pitch:
    """Return the pitch of one plucked spoke.

    From the loudest moment on, 0.49 s under a Hann window, four times longer with zeros; peaks that stand over the floor
    and that do not sound before the pluck or go on unchanged after it (hum). Of the peaks that is the pitch whose partials
    2 and 3 bear it out best; its place is the top of a parabola through the logarithms.

    Args:
        sound: A recording with one pluck; the loudest one counts. [-]

    Returns:
        Frequency with sd. [Hz]

    Raises:
        InputRefused: Too short, silent, or a recording that clips all the way.
        Unknown: No tone stands out: noise, hum of the mains, or a dead spoke.

    Valid for: 120 to 1500 Hz; one spoke plucked in the middle, its crossing neighbour lifted off or damped.

    Source: Short-time spectrum, textbooks of signal processing; thresholds are own choice.
    """
    samples = _sound_enough(sound)
    start = _onset(samples, sound.rate)
    begin = start + int(AFTER_PLUCK * sound.rate)
    piece = samples[begin : begin + int(PIECE * sound.rate)]
    if len(piece) < LEAST_PIECE * sound.rate:
        raise InputRefused(
            worded(
                "The recording ends right after the pluck: half a second of sound is needed after "
                "it. Record it again."
            )
        )
    peaks = _peaks(piece, sound.rate)
    peaks = _without_hum(peaks, samples, start, sound.rate)
    if not len(peaks.at):
        raise Unknown(
            worded(
                "No tone of a spoke is heard: only noise or hum. Pluck the spoke in its middle, hold "
                "the microphone near, and keep the room still."
            )
        )
    best = _best(peaks)
    frequency = float(peaks.at[best])
    partials = tuple(float(one) for multiple in SHARP for one in [_partial(peaks, best, multiple)[0]] if one)
    if not partials and _of_the_mains(np.array([frequency]))[0]:
        raise Unknown(
            worded(
                "Only a tone at {frequency:.0f} Hz is heard, a multiple of the mains, and no partial "
                "bears it out: it may be hum. Go away from lamps and chargers, and pluck again.",
                frequency=frequency,
            )
        )
    second = _second(peaks, best)
    sd = _doubt(piece, sound.rate, frequency)
    note = _note(frequency)
    words = f"{frequency:.1f} Hz, {note}" + (
        worded(", with {partials} partials", partials=len(partials))
        if partials
        else worded(", alone: no partial is heard")
    )
    if second is not None:
        words = worded(
            "two tones: {frequency:.1f} and {second:.1f} Hz. Two spokes sound: damp the one that "
            "crosses, or lift it off, and pluck again",
            frequency=frequency,
            second=second,
        )
    return Pitch(frequency, sd, partials, second, note, words)


def _sound_enough(sound: Sound) -> Floats:
    if len(sound.samples) < LEAST_PIECE * sound.rate:
        raise InputRefused(
            worded(
                "The recording is {samples:.2f} s long: half a second at least. Record it again.",
                samples=len(sound.samples) / sound.rate,
            )
        )
    samples = sound.samples - sound.samples.mean()
    loudest = float(np.abs(samples).max())
    if loudest < 1e-4:
        raise InputRefused(
            worded("The recording is silent. Look at the microphone, and record the spoke again.")
        )
    if float((np.abs(sound.samples) > 0.999).mean()) > 0.05:
        raise InputRefused(
            worded(
                "The recording is cut off at its loudest: hold the microphone further away and record again."
            )
        )
    return np.asarray(samples / loudest, dtype=float)


def _onset(samples: Floats, rate: int) -> int:
    """Where the sound rises most, by loudness in pieces of 5 ms; the start where it never rises."""
    hop = max(1, rate // 200)
    count = len(samples) // hop
    loud = np.sqrt((samples[: count * hop].reshape(count, hop) ** 2).mean(axis=1))
    # Before the recording there was nothing, so that a pluck at its very start is a rise too.
    padded = np.concatenate([np.zeros(3), loud])
    rise = loud - np.minimum.reduce([padded[:count], padded[1 : count + 1], padded[2 : count + 2]])
    return int(rise.argmax()) * hop


def _spectrum(piece: Floats, rate: int) -> tuple[Floats, Floats]:
    window = np.hanning(len(piece))
    size = 1 << int(np.ceil(np.log2(4 * len(piece))))
    height = np.abs(np.fft.rfft(piece * window, size)) / window.sum() * 2
    return np.asarray(np.fft.rfftfreq(size, 1 / rate), dtype=float), np.asarray(height, dtype=float)


def _peaks(piece: Floats, rate: int) -> _Peaks:
    """Local tops over the floor, the place of each by a parabola through the logarithms."""
    at, height = _spectrum(piece, rate)
    top = min(HIGHEST * 3 * (1 + SHARP[3]), 0.45 * rate)
    span = (at >= 40.0) & (at <= top)
    at, height = at[span], height[span]
    floor = _floor(height, at[1] - at[0])
    inner = height[1:-1]
    tops = 1 + np.flatnonzero((inner > height[:-2]) & (inner >= height[2:]))
    loudest = height[tops].max() if len(tops) else 0.0
    tops = tops[(height[tops] > OVER_FLOOR * floor[tops]) & (height[tops] > SOFTEST * loudest)]
    low, mid, high = (np.log(np.maximum(height[tops + move], 1e-12)) for move in (-1, 0, 1))
    bend = low - 2 * mid + high
    shift = np.where(bend < 0, 0.5 * (low - high) / np.where(bend < 0, bend, 1.0), 0.0)
    found = _Peaks(at[tops] + shift * (at[1] - at[0]), height[tops])
    return _tallest_near(found, 4.2 * rate / len(piece) / 2)


def _floor(height: Floats, step: float) -> Floats:
    """Median of the spectrum in bands of 200 Hz: what noise alone would be."""
    band = max(8, int(200 / step))
    edges = range(0, len(height), band)
    medians = [float(np.median(height[edge : edge + band])) for edge in edges]
    return np.repeat(medians, band)[: len(height)]


def _tallest_near(peaks: _Peaks, near: float) -> _Peaks:
    """Leave out the ripples beside a taller top: inside the window's own width they are its feet."""
    kept: list[int] = []
    for one in np.argsort(-peaks.height):
        if all(abs(peaks.at[one] - peaks.at[other]) > near for other in kept):
            kept.append(int(one))
    kept.sort(key=lambda one: peaks.at[one])
    return _Peaks(peaks.at[kept], peaks.height[kept])


def _without_hum(peaks: _Peaks, samples: Floats, start: int, rate: int) -> _Peaks:
    """Leave out what sounds before the pluck, or goes on at a multiple of the mains as loud at the end as at the start."""
    keep = np.ones(len(peaks.at), dtype=bool)
    before = samples[:start]
    if len(before) > 0.1 * rate:
        there = _height_at(before[-int(PIECE * rate) :], rate, peaks.at)
        keep &= there < 0.5 * peaks.height
    after = samples[start + int(AFTER_PLUCK * rate) :]
    half = min(len(after) // 2, int(0.4 * rate))
    if half > 0.1 * rate:
        first, last = (
            _height_at(after[:half], rate, peaks.at),
            _height_at(after[half : 2 * half], rate, peaks.at),
        )
        steady = last > 0.8 * first
        keep &= ~(steady & _of_the_mains(peaks.at))
        # A spoke dies away; a tone that does not in all this time is a machine's.
        keep &= ~(last > 0.97 * first)
    inside = keep & (peaks.at <= HIGHEST * 3 * (1 + SHARP[3]))
    return _Peaks(peaks.at[inside], peaks.height[inside])


def _of_the_mains(at: Floats) -> NDArray[np.bool_]:
    """Which frequencies are multiples of the mains'."""
    found = np.zeros(len(at), dtype=bool)
    for hum in MAINS:
        whole = np.maximum(np.round(at / hum), 1) * hum
        found |= np.abs(at - whole) < np.maximum(1.0, 0.004 * whole)
    return found


def _height_at(piece: Floats, rate: int, at: Floats) -> Floats:
    """Height of single frequencies in a piece."""
    window = np.hanning(len(piece))
    turns = np.exp(-2j * np.pi * np.outer(at, np.arange(len(piece)) / rate))
    return np.asarray(np.abs(turns @ (piece * window)) / window.sum() * 2, dtype=float)


def _partial(peaks: _Peaks, base: int, multiple: int) -> tuple[float, float]:
    """The loudest peak where a partial may stand, and its height; nothing is 0."""
    ratio = peaks.at / peaks.at[base]
    near = np.flatnonzero((ratio > 0.985 * multiple) & (ratio < multiple * (1 + SHARP[multiple])))
    if not len(near):
        return 0.0, 0.0
    best = near[peaks.height[near].argmax()]
    return float(peaks.at[best]), float(peaks.height[best])


def _best(peaks: _Peaks) -> int:
    """The peak whose own height and partials weigh most, by logarithms, so that no one peak outvotes the rest."""
    floor = SOFTEST * float(peaks.height.max())

    def weight(height: float) -> float:
        return float(np.log(1 + height / floor))

    votes = [
        weight(float(peaks.height[one]))
        + sum(0.6 * weight(_partial(peaks, one, multiple)[1]) for multiple in SHARP)
        if LOWEST <= peaks.at[one] <= HIGHEST
        else -1.0
        for one in range(len(peaks.at))
    ]
    best = int(np.argmax(votes))
    if votes[best] < 0:
        raise Unknown(
            worded(
                "The loudest tone is {at:.0f} Hz: a spoke sounds from {lowest:.0f} to {highest:.0f} "
                "Hz. Pluck the spoke in its middle and record again.",
                at=peaks.at[int(peaks.height.argmax())],
                lowest=LOWEST,
                highest=HIGHEST,
            )
        )
    return best


def _second(peaks: _Peaks, best: int) -> float | None:
    """Another loud tone near the pitch, that is none of its partials."""
    away = np.abs(peaks.at / peaks.at[best] - 1)
    loud = peaks.height > AS_LOUD * peaks.height[best]
    near = np.flatnonzero((away > APART) & (away < WITHIN) & loud)
    return float(peaks.at[near[peaks.height[near].argmax()]]) if len(near) else None


def _doubt(piece: Floats, rate: int, frequency: float) -> float:
    """Half of what the first and second half differ by, and never below 0.03 %: the pitch falls as the pluck dies."""
    half = len(piece) // 2
    found = []
    for part in (piece[:half], piece[half:]):
        at, height = _spectrum(part, rate)
        near = np.flatnonzero(np.abs(at - frequency) < max(6.0, 0.02 * frequency))
        found.append(float(at[near[height[near].argmax()]]) if len(near) else frequency)
    return max(3e-4 * frequency, abs(found[0] - found[1]) / 2)


def _note(frequency: float) -> str:
    """The nearest note of the equal scale with A4 at 440 Hz, and how far off in cents."""
    steps = 12 * log2(frequency / 440.0)
    near = round(steps)
    names = "C C# D D# E F F# G G# A A# B".split()
    place = near + 57
    return worded(
        "{names}{place} {steps:+.0f} cents",
        names=names[place % 12],
        place=place // 12,
        steps=100 * (steps - near),
    )
