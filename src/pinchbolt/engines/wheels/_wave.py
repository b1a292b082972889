"""Sound from the bytes of a WAV file: whole numbers of 8 to 32 bits or floats, any count of channels."""

import struct
from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wheels._wheel_sense import Floats
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
# Longer than any pluck: the rest of a file is not read.
LONGEST = 60.0
RATES = (8000, 192000)


@dataclass(frozen=True, slots=True)
class Sound:
    """One channel of sound, from -1 to 1, and its samples a second. [1/s]"""

    samples: Floats
    rate: int


@dataclass(frozen=True, slots=True)
class _Form:
    """How samples lie in the file."""

    coding: int
    channels: int
    rate: int
    bits: int


def read_wave(data: bytes) -> Sound:
    """Return the sound of a WAV file, its channels put together.

    Args:
        data: The whole file. [bytes]

    Returns:
        One channel. [-]

    Raises:
        InputRefused: No WAV file, cut short before its sound, or of a coding that is not plain.

    Valid for: Plain samples (8, 16, 24, 32 bits, or floats); at most the first 60 s are taken.

    Source: Resource interchange file format and its multimedia data, public specification of 1991, with the extensible form.
    """
    if len(data) < 12 or data[:4] != b"RIFF" or data[8:12] != b"WAVE":
        raise _refused(worded("This is no WAV file"))
    form: _Form | None = None
    at = 12
    while at + 8 <= len(data):
        name, size = data[at : at + 4], struct.unpack_from("<I", data, at + 4)[0]
        inside = data[at + 8 : at + 8 + size]
        if name == b"fmt ":
            form = _form(inside)
        elif name == b"data":
            if form is None:
                raise _refused(worded("The WAV file says nothing about its samples before they begin"))
            return Sound(_samples(inside, form), form.rate)
        at += 8 + size + size % 2
    raise _refused(worded("The WAV file ends before its sound"))


def _refused(what: str) -> InputRefused:
    sentence = worded(
        "{what}: a plain WAV file is needed, 16 bits is usual. Record the spoke again, or "
        "save the recording as WAV.",
        what=what,
    )
    return InputRefused(sentence, {"file": sentence})


def _form(inside: bytes) -> _Form:
    if len(inside) < 16:
        raise _refused(worded("The head of the WAV file is cut short"))
    coding, channels, rate, _, _, bits = struct.unpack_from("<HHIIHH", inside)
    if coding == _EXTENSIBLE and len(inside) >= 26:
        coding = struct.unpack_from("<H", inside, 24)[0]
    plain = (coding == _PCM and bits in (8, 16, 24, 32)) or (coding == _FLOAT and bits in (32, 64))
    if not plain:
        raise _refused(
            worded(
                "The WAV file is coded in a way that is not read here (form {coding}, {bits} bits)",
                coding=coding,
                bits=bits,
            )
        )
    if not 1 <= channels <= 8 or not RATES[0] <= rate <= RATES[1]:
        raise _refused(
            worded(
                "The WAV file has {channels} channels at {rate} samples a second: 1 to 8, and 8000 to 192000",
                channels=channels,
                rate=rate,
            )
        )
    return _Form(coding, channels, rate, bits)


def _samples(inside: bytes, form: _Form) -> Floats:
    step = form.channels * form.bits // 8
    whole = inside[: min(len(inside) // step, int(LONGEST * form.rate)) * step]
    if form.coding == _FLOAT:
        flat = np.frombuffer(whole, dtype=f"<f{form.bits // 8}").astype(float)
        if not np.isfinite(flat).all():
            raise _refused(worded("The WAV file holds samples that are no numbers"))
    elif form.bits == 24:
        three = np.frombuffer(whole, dtype=np.uint8).reshape(-1, 3).astype(np.int32)
        high = np.left_shift(three[:, 2], 24) | np.left_shift(three[:, 1], 16) | np.left_shift(three[:, 0], 8)
        flat = high.astype(float) / 2.0**31
    elif form.bits == 8:
        flat = (np.frombuffer(whole, dtype=np.uint8).astype(float) - 128) / 128
    else:
        flat = np.frombuffer(whole, dtype=f"<i{form.bits // 8}").astype(float) / 2.0 ** (form.bits - 1)
    return np.asarray(flat.reshape(-1, form.channels).mean(axis=1), dtype=float)
