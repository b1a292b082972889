"""Tension by ear: plucked spokes of one side as WAV files, with or without a reference spoke."""

from collections.abc import Sequence
from dataclasses import dataclass

from pinchbolt.engines.wheels import (
    HeardTension,
    Pitch,
    ReferenceSpoke,
    Wire,
    pluck_pitch,
    read_wave,
    tensions_by_pitch,
)
from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

_MM = 1e-3
ALONE = worded(
    "One spoke without a reference says nothing about tension: pluck the other spokes of "
    "its side as well, and compare."
)


@dataclass(frozen=True, slots=True)
class WheelSoundRequest:
    """The free part of this side's spokes, elbow to nipple, plain or in pieces (length, diameter); a reference spoke. [mm, N, Hz]"""

    length_mm: float | None = None
    diameter_mm: float | None = None
    segments_mm: tuple[tuple[float, float], ...] = ()
    reference_n: float | None = None
    reference_hz: float | None = None


@dataclass(frozen=True, slots=True)
class PluckView:
    """One recording: pitch, partials, the second tone if two spokes sound, and what that says of its tension. [Hz, N, -]

    `tension_n` stands only with a reference; its ends are two sd either side. `refused` says why nothing was heard.
    """

    name: str
    frequency_hz: float | None
    sd_hz: float | None
    partials_hz: tuple[float, ...]
    second_hz: float | None
    note: str
    tension_n: float | None
    tension_low_n: float | None
    tension_high_n: float | None
    relative: float | None
    words: str
    refused: str | None


@dataclass(frozen=True, slots=True)
class WheelSoundView:
    """All recordings of one side, what is known of the ends, and doubts."""

    plucks: tuple[PluckView, ...]
    ends_held: float | None
    working: tuple[str, ...]
    doubts: tuple[str, ...]


def wheel_sound(request: WheelSoundRequest, sounds: Sequence[tuple[str, bytes]]) -> WheelSoundView:
    """Return the pitch of each recording, and the tension as far as it can be told.

    Raises:
        InputRefused: A figure out of any sense, a file that is no sound; a single recording in which nothing is heard.
        Unknown: Nothing but noise or hum in a single recording.
    """
    wire, reference = _wire(request), _reference(request)
    if not sounds:
        raise InputRefused(
            worded("No recording was given: one WAV file for each spoke."), {"file": worded("at least one")}
        )
    heard = [_heard(data, alone=len(sounds) == 1) for _, data in sounds]
    # Of two tones nobody knows which spoke's they are.
    sure = [one for one in heard if isinstance(one, Pitch) and one.second is None]
    told: dict[int, HeardTension] = {}
    doubts: list[str] = []
    working: tuple[str, ...] = ()
    held = None
    if sure:
        found = tensions_by_pitch(wire, [one.frequency for one in sure], [one.sd for one in sure], reference)
        told = {id(one): tension for one, tension in zip(sure, found.spokes, strict=True)}
        doubts += found.doubts
        working, held = tuple(f"{one.words} ({one.source})" for one in found.reasons), found.fixity
        if reference is None and len(sure) == 1:
            doubts.append(ALONE)
    doubts.append(
        worded("Tyre flat, wheel free; lift the spoke off the one that it crosses, or damp that one.")
    )
    lone = reference is None and len(sure) == 1
    views = tuple(
        _view(name, one, told.get(id(one)), lone=lone) for (name, _), one in zip(sounds, heard, strict=True)
    )
    return WheelSoundView(views, held, working, tuple(doubts))


def _wire(request: WheelSoundRequest) -> Wire:
    if request.segments_mm:
        if request.length_mm is not None or request.diameter_mm is not None:
            whole = sum(long for long, _ in request.segments_mm)
            if request.diameter_mm is not None or abs(whole - (request.length_mm or 0.0)) > 1.0:
                sentence = worded(
                    "The pieces are {whole:g} mm together: give the same length, or pieces alone. "
                    "Measure again.",
                    whole=whole,
                )
                raise InputRefused(sentence, {"segments": sentence})
        return Wire(tuple((long * _MM, thick * _MM) for long, thick in request.segments_mm))
    if request.length_mm is None or request.diameter_mm is None:
        sentence = worded(
            "The spoke's free length and its diameter are needed, or its pieces "
            "(15x2.0/230x1.8/15x2.0). Measure elbow to nipple."
        )
        raise InputRefused(sentence, {"length_mm": sentence})
    return Wire(((request.length_mm * _MM, request.diameter_mm * _MM),))


def _reference(request: WheelSoundRequest) -> ReferenceSpoke | None:
    if request.reference_n is None and request.reference_hz is None:
        return None
    if request.reference_n is None or request.reference_hz is None:
        sentence = worded(
            "A reference spoke takes both, its tension in N and its pitch in Hz. Give the missing one."
        )
        raise InputRefused(sentence, {"reference_n": sentence})
    return ReferenceSpoke(request.reference_n, request.reference_hz)


def _heard(data: bytes, *, alone: bool) -> Pitch | PinchboltError:
    """The pitch, or why there is none; among several a bad recording does not stop the others."""
    try:
        return pluck_pitch(read_wave(data))
    except PinchboltError as refusal:
        if alone:
            raise
        return refusal


def _view(name: str, heard: Pitch | PinchboltError, tension: HeardTension | None, *, lone: bool) -> PluckView:
    if isinstance(heard, PinchboltError):
        return PluckView(
            name, None, None, (), None, "", None, None, None, None, heard.sentence, heard.sentence
        )
    pull = tension.tension if tension is not None else None
    middle = tension.middle if tension is not None else None
    relative = None if tension is None or lone else round(tension.relative, 4)
    words = heard.words
    if middle is not None and pull is not None:
        words += worded(
            ": {middle:.0f} N, within {low:.0f} to {high:.0f} N", middle=middle, low=pull.low, high=pull.high
        )
    elif relative is not None:
        words += worded(": {relative} of the mean", relative=percent(relative))
    return PluckView(
        name=name,
        frequency_hz=round(heard.frequency, 3),
        sd_hz=round(heard.sd, 3),
        partials_hz=tuple(round(one, 2) for one in heard.partials),
        second_hz=None if heard.second is None else round(heard.second, 2),
        note=heard.note,
        tension_n=None if middle is None else round(middle, 1),
        tension_low_n=None if pull is None else round(pull.low, 1),
        tension_high_n=None if pull is None else round(pull.high, 1),
        relative=relative,
        words=words,
        refused=None,
    )
