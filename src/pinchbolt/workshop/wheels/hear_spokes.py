"""Plucked spokes: recordings or pitches that are kept by spoke until the wheel is read."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.wheels import pluck_pitch, read_wave
from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.records.models import SpokesHeard
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.wheels._wheel_records import measured, wheel_of_job

# A pitch that was typed is out by this share, one sd. Own choice.
TYPED_SD = 0.003
MOST_BYTES = 4_000_000


@dataclass(frozen=True, slots=True)
class HeardSpoke:
    """A spoke's pitch and its sd (None: as typed). [Hz]"""

    spoke: int
    pitch_hz: float
    sd_hz: float | None = None


@dataclass(frozen=True, slots=True)
class HearSpokesRequest:
    """Spokes that were plucked; a spoke plucked again replaces what was heard before."""

    job: int
    part: int
    heard: tuple[HeardSpoke, ...]


def note_pitches(request: HearSpokesRequest, *, by: int, key: str, now: datetime) -> tuple[HeardSpoke, ...]:
    """Write down what spokes sound.

    Raises:
        InputRefused: No spoke, one that the wheel does not have, or a pitch that no spoke has.
        NotPossibleNow: The wheel was not measured, or the job is closed.
    """
    with act("spokes plucked", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        part = wheel_of_job(job, request.part)
        if this.repeated:
            return request.heard
        still_open(job)
        count = measured(part).wheel.spokes
        if not request.heard:
            raise InputRefused(
                worded("No spoke was plucked: send one recording for each."),
                {"sounds": worded("one at least")},
            )
        for one in request.heard:
            if not 1 <= one.spoke <= count:
                sentence = worded(
                    "There is no spoke {spoke}: this wheel has {count}. Say which spoke the first "
                    "recording is of.",
                    spoke=one.spoke,
                    count=count,
                )
                raise InputRefused(sentence, {"first": sentence})
            number(
                one.pitch_hz, "heard", worded("The pitch of spoke {spoke}", spoke=one.spoke), 60, 3000, "Hz"
            )
        this.said = {**as_json(request), "words": str(part)}
        pitches = {
            str(one.spoke): [one.pitch_hz, one.sd_hz if one.sd_hz is not None else one.pitch_hz * TYPED_SD]
            for one in request.heard
        }
        SpokesHeard.objects.create(event=this.write(job=job), job=job, part=part, pitches=pitches)
        return request.heard


def hear_spokes(
    job: int, part: int, first: int, sounds: Sequence[tuple[str, bytes]], *, by: int, key: str, now: datetime
) -> tuple[HeardSpoke, ...]:
    """Hear recordings, one spoke each from spoke *first* on, and write their pitches down: all of them or none.

    Raises:
        InputRefused: A file that is no sound, in which nothing or two spokes are heard; the sentence names file and spoke.
    """
    found, wrong = [], []
    for spoke, (name, data) in enumerate(sounds, first):
        try:
            pitch = pluck_pitch(read_wave(data))
        except PinchboltError as refusal:
            wrong.append(
                worded(
                    "spoke {spoke} ({name}): {sentence}",
                    spoke=spoke,
                    name=name[:40],
                    sentence=refusal.sentence,
                )
            )
            continue
        if pitch.second is not None:
            wrong.append(
                worded(
                    "spoke {spoke} ({name}): {words}. Lift it off the one that it crosses, and pluck it "
                    "again.",
                    spoke=spoke,
                    name=name[:40],
                    words=pitch.words,
                )
            )
            continue
        found.append(HeardSpoke(spoke, round(pitch.frequency, 3), round(pitch.sd, 4)))
    if wrong:
        more = worded(" And {wrong} more.", wrong=len(wrong) - 3) if len(wrong) > 3 else ""
        sentence = worded(
            "Not kept, {count} of {sounds} can't be told: {why}{more}",
            count=len(wrong),
            sounds=len(sounds),
            why=" ".join(wrong[:3]),
            more=more,
        )
        raise InputRefused(sentence, {"sounds": sentence})
    return note_pitches(HearSpokesRequest(job, part, tuple(found)), by=by, key=key, now=now)
