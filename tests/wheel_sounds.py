"""A plucked spoke as a WAV file: partials sharp by stiffness that die away, a finger's click, a little mains hum and noise."""

import io
import wave

import numpy as np

from ratios.wheel_bench import pluck


def wav_of(rng: np.random.Generator, *tones: float) -> bytes:
    """One recording of 1.2 s in which these tones sound at once; none: only noise and hum. [Hz]"""
    sound = pluck(rng, [(tone, 1.0) for tone in tones], 0.02, 0.05)
    return _as_wav(sound.samples, sound.rate)


def before_a_microphone(rng: np.random.Generator, tone: float) -> bytes:
    """What a microphone hears of one pluck while somebody taps and waits: a second of the room, the pluck, the room again. [Hz]"""
    sound = pluck(rng, [(tone, 1.0)], 0.02, 0.05)
    before, after = (rng.normal(0, 0.004, int(seconds * sound.rate)) for seconds in (1.0, 4.0))
    return _as_wav(np.concatenate([before, sound.samples, after]), sound.rate)


def _as_wav(samples: np.ndarray, rate: int) -> bytes:
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return out.getvalue()
