"""A plucked spoke as a WAV file: partials sharp by stiffness that die away, a finger's click, a little mains hum and noise."""

import io
import wave

import numpy as np

from ratios.wheel_bench import pluck


def wav_of(rng: np.random.Generator, *tones: float) -> bytes:
    """One recording of 1.2 s in which these tones sound at once; none: only noise and hum. [Hz]"""
    sound = pluck(rng, [(tone, 1.0) for tone in tones], 0.02, 0.05)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(sound.rate)
        file.writeframes((np.clip(sound.samples, -1, 1) * 32767).astype("<i2").tobytes())
    return out.getvalue()
