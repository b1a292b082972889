"""What is heard of a plucked spoke: its pitch, two tones, and nothing in hum, noise and silence; and which files are read."""

import io
import re
import struct
import wave

import numpy as np
import pytest

from pinchbolt.engines.wheels import Sound, pluck_pitch, read_wave
from pinchbolt.errors import InputRefused, PinchboltError, Unknown
from ratios.wheel_bench import RATE, pluck


def written(sound: Sound, width: int = 2, channels: int = 1) -> bytes:
    """A WAV file as the standard library writes it."""
    raw = np.repeat(sound.samples, channels)
    if width == 1:
        data = (raw * 127 + 128).astype(np.uint8).tobytes()
    elif width == 3:
        data = b"".join(struct.pack("<i", int(one * (2**23 - 1)))[:3] for one in raw)
    else:
        data = (raw * (2 ** (8 * width - 1) - 1)).astype(f"<i{width}").tobytes()
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(width)
        out.setframerate(sound.rate)
        out.writeframes(data)
    return file.getvalue()


def test_a_dozen_drawn_plucks_are_heard_within_three_thousandths() -> None:
    """Partials a little sharp, hum, noise, a click of the finger."""
    rng = np.random.default_rng(11)
    for _ in range(12):
        tone = rng.uniform(200, 700)
        found = pluck_pitch(pluck(rng, [(tone, 1.0)], rng.uniform(0, 0.1), rng.uniform(0, 0.3)))
        assert found.frequency == pytest.approx(tone, rel=0.003) and found.second is None


def test_two_spokes_that_sound_are_named_as_two() -> None:
    """A crossing spoke that is not damped."""
    rng = np.random.default_rng(12)
    for apart in (1.04, 0.9, 1.2):
        found = pluck_pitch(pluck(rng, [(400.0, 1.0), (400.0 * apart, 0.8)], 0.03, 0.1))
        assert found.second is not None and "Two spokes sound" in found.words


def test_what_bears_a_tone_out_is_said_with_it() -> None:
    """A whistle has no partial and says so; a spoke with its second and third says how many were heard."""
    time = np.arange(RATE) / RATE
    for heard, said in (
        ((1.0,), r"^310.0 Hz, .*, alone: no partial is heard$"),
        ((1.0, 0.6, 0.4), r"^310.\d Hz, .*, with 2 partials$"),
    ):
        tone = sum(
            loud * np.sin(2 * np.pi * 310.0 * k * time) * np.exp(-2.5 * time)
            for k, loud in enumerate(heard, 1)
        )
        found = pluck_pitch(Sound(0.3 * np.asarray(tone), RATE))
        assert re.search(said, found.words), found.words
        assert len(found.partials) == len(heard) - 1


def test_a_softer_first_partial_does_not_give_the_octave() -> None:
    """A microphone without bass: partials 2 and 3 are louder, the pitch stays."""
    time = np.arange(RATE) / RATE
    tone = sum(
        loud * np.sin(2 * np.pi * 310.0 * k * time) * np.exp(-2.5 * time)
        for k, loud in ((1, 0.25), (2, 1.0), (3, 0.7))
    )
    assert pluck_pitch(Sound(0.3 * np.asarray(tone), RATE)).frequency == pytest.approx(310.0, rel=0.001)


@pytest.mark.parametrize("neighbour", [330.0, 455.0])
def test_a_spoke_that_rang_before_the_pluck_is_not_the_one_that_is_asked(neighbour: float) -> None:
    """The neighbour was touched half a second before and still dies away: the pluck's tone is told, and no second spoke with it."""
    time = np.arange(int(1.5 * RATE)) / RATE

    def ring(begins: float, tone: float, loud: float, dies: float) -> np.ndarray:
        since = np.maximum(time - begins, 0)
        parts = [
            a * np.sin(2 * np.pi * tone * k * since) * np.exp(-since * k**0.5 / dies)
            for k, a in ((1, 1.0), (2, 0.5), (3, 0.3))
        ]
        return np.asarray(loud * (time >= begins) * sum(parts))

    rng = np.random.default_rng(15)
    finger = (time >= 0.55) * rng.normal(0, 0.5, time.size) * np.exp(-np.maximum(time - 0.55, 0) / 0.004)
    wave = ring(0.05, neighbour, 0.4, 1.2) + ring(0.55, 400.0, 1.0, 0.5) + finger
    found = pluck_pitch(Sound(0.8 * wave / np.abs(wave).max(), RATE))
    assert found.frequency == pytest.approx(400.0, rel=0.003) and found.second is None


@pytest.mark.parametrize("hum", [0.0, 0.5])
def test_noise_and_hum_are_refused(hum: float) -> None:
    """No spoke is in it, so none is heard."""
    rng = np.random.default_rng(13)
    for _ in range(3):
        with pytest.raises(Unknown):
            pluck_pitch(pluck(rng, [], 0.2, hum))


def test_silence_and_a_short_recording_are_refused() -> None:
    """With what to do."""
    with pytest.raises(InputRefused, match="silent"):
        pluck_pitch(Sound(np.zeros(RATE), RATE))
    with pytest.raises(InputRefused, match="half a second"):
        pluck_pitch(Sound(np.ones(100), RATE))
    with pytest.raises(InputRefused, match="cut off"):
        pluck_pitch(Sound(np.sign(np.sin(np.arange(RATE) / 20.0)), RATE))


def test_a_twentieth_of_a_recording_may_be_cut_off_and_no_sample_more() -> None:
    """A loud pluck clips for a moment: its tone is heard all the same; one sample more, and it is to be recorded again."""
    time = np.arange(RATE) / RATE
    ring = sum(a * np.sin(2 * np.pi * 310.0 * k * time) for k, a in ((1, 1.0), (2, 0.5), (3, 0.3)))
    samples = np.asarray(ring * np.exp(-2.5 * time))
    samples *= 0.998 / np.abs(samples).max()
    loudest = np.argsort(-np.abs(samples))
    for more, cut_off in ((0, False), (1, True)):
        clipped = samples.copy()
        at = loudest[: RATE // 20 + more]
        clipped[at] = np.sign(samples[at])
        if cut_off:
            with pytest.raises(InputRefused, match="cut off"):
                pluck_pitch(Sound(clipped, RATE))
        else:
            assert pluck_pitch(Sound(clipped, RATE)).frequency == pytest.approx(310.0, rel=0.003)


@pytest.mark.parametrize(("width", "channels"), [(1, 1), (2, 1), (2, 2), (3, 1), (4, 2)])
def test_plain_files_of_every_width_say_the_same(width: int, channels: int) -> None:
    """8, 16, 24 and 32 bits, one or two channels."""
    sound = pluck(np.random.default_rng(14), [(333.0, 1.0)], 0.01, 0.0)
    found = read_wave(written(sound, width, channels))
    assert found.rate == RATE and len(found.samples) == len(sound.samples)
    assert pluck_pitch(found).frequency == pytest.approx(333.0, rel=0.001)


def test_floats_and_the_extensible_head_are_read() -> None:
    """What recorders of today write."""
    raw = np.linspace(-0.5, 0.5, 1000).astype("<f4").tobytes()
    head = (
        struct.pack("<HHIIHHHHI", 0xFFFE, 1, RATE, RATE * 4, 4, 32, 22, 32, 4)
        + struct.pack("<H", 3)
        + bytes(14)
    )
    body = (
        b"WAVE" + b"fmt " + struct.pack("<I", len(head)) + head + b"data" + struct.pack("<I", len(raw)) + raw
    )
    found = read_wave(b"RIFF" + struct.pack("<I", len(body)) + body)
    assert found.samples[-1] == pytest.approx(0.5)


def test_damaged_files_are_refused_and_never_break() -> None:
    """Cut short anywhere, or with bytes turned: a sentence, or a sound."""
    whole = written(pluck(np.random.default_rng(15), [(300.0, 1.0)], 0.02, 0.0))[:3000]
    rng = np.random.default_rng(16)
    for _ in range(300):
        data = bytearray(whole[: rng.integers(0, len(whole))])
        for _ in range(int(rng.integers(0, 6))):
            if data:
                data[int(rng.integers(0, min(len(data), 60)))] = int(rng.integers(0, 256))
        try:
            assert isinstance(read_wave(bytes(data)), Sound)
        except PinchboltError as refusal:
            assert "WAV" in refusal.sentence


def test_a_slack_spokes_sharp_partials_still_bear_it_out() -> None:
    """260 mm, 2.0 mm at 100 N clamped: by the beam its partials stand at 2.37 and 4.27 times the pitch, and the second is loudest."""
    time = np.arange(RATE) / RATE
    parts = ((187.0, 0.3), (187.0 * 2.37, 1.0), (187.0 * 4.27, 0.4))
    tone = sum(loud * np.sin(2 * np.pi * pitch * time) * np.exp(-2.5 * time) for pitch, loud in parts)
    assert pluck_pitch(Sound(0.3 * np.asarray(tone), RATE)).frequency == pytest.approx(187.0, rel=0.001)
