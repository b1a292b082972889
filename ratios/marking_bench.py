"""Drawn markings: texts, typefaces, grounds and what light and lens do to them. Every number here is an assumption.

Two worlds that share nothing but the lens: what is tuned on (`TUNED`) and what is tested (`TESTED`) have typefaces, grounds,
texts and seeds of their own.
"""

import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from ratios.marking_texts import DrawnText

Floats = NDArray[np.float64]
Ground = Callable[[np.random.Generator, int, int], Floats]
STYLES = ("printed", "etched", "embossed", "laser")


@dataclass(frozen=True)
class World:
    """Typefaces, grounds and texts that belong together; none of them stands in another world."""

    name: str
    faces: tuple[Path, ...]
    grounds: tuple[Ground, ...]
    texts: tuple[DrawnText, ...]


@dataclass(frozen=True)
class DrawnMarking:
    """A photo as JPEG, what is on it (None: nothing), and how it was drawn, in words."""

    jpeg: bytes
    text: DrawnText | None
    how: str


def faces_of(package: str, names: Sequence[str]) -> tuple[Path, ...]:
    """Typefaces that a package carries."""
    folder = Path(str(import_module(package).__file__)).parent
    return tuple(next(folder.rglob(name)) for name in names)


# --- grounds: light from 0 to 1, height by width -------------------------------------------------


def _light(field: object) -> Floats:
    return np.asarray(field, dtype=float)


def _smooth(rng: np.random.Generator, high: int, wide: int, cell: float) -> Floats:
    """Soft clouds with a grain of so many pixels, between -1 and 1."""
    small = rng.normal(0, 1, (max(2, int(high / cell) + 2), max(2, int(wide / cell) + 2)))
    image = Image.fromarray(small.astype(np.float32), "F").resize((wide, high), Image.Resampling.BICUBIC)
    found = np.asarray(image, dtype=float)
    return found / max(1e-9, float(np.abs(found).max()))


def paint(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Even paint with a slow fall of light."""
    level, fall, turn = rng.uniform(0.08, 0.9), rng.uniform(0, 0.25), rng.uniform(0, 2 * math.pi)
    y, x = np.mgrid[0:high, 0:wide]
    across = (x / wide - 0.5) * math.cos(turn) + (y / high - 0.5) * math.sin(turn)
    return _light(level + fall * across + 0.01 * rng.normal(0, 1, (high, wide)))


def brushed(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Brushed metal: lines along one way."""
    lines = np.repeat(rng.normal(0, 1, (high, 1)), wide, axis=1) + 0.5 * _smooth(rng, high, wide, 60)
    return rng.uniform(0.35, 0.7) + 0.035 * lines + 0.012 * rng.normal(0, 1, (high, wide))


def clouds(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Worn black with dust on it."""
    return rng.uniform(0.1, 0.35) + 0.06 * _smooth(rng, high, wide, 45) + 0.03 * _smooth(rng, high, wide, 5)


def weave(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Woven fibre under clear coat: small squares, light and dark in turn."""
    cell = rng.uniform(9, 22)
    y, x = np.mgrid[0:high, 0:wide]
    over = (np.floor(x / cell) + np.floor(y / cell)) % 2
    grain = np.where(over > 0, np.sin(x * 2.1 / 2), np.sin(y * 2.1 / 2))
    return _light(rng.uniform(0.08, 0.3) + 0.05 * over + 0.012 * grain + 0.02 * _smooth(rng, high, wide, 90))


def speckled(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Blasted and anodised: fine grain."""
    grain = _smooth(rng, high, wide, 1.7)
    return rng.uniform(0.12, 0.75) + 0.07 * grain + 0.06 * _smooth(rng, high, wide, 150)


def scratched(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Paint with scratches and a smear of grease."""
    image = Image.new("F", (wide, high), 0.0)
    pen = ImageDraw.Draw(image)
    for _ in range(int(rng.integers(6, 30))):
        x, y = rng.uniform(0, wide), rng.uniform(0, high)
        turn, long = rng.normal(0.5, 0.6), rng.uniform(20, 260)
        tone = float(rng.choice([-1, 1]) * rng.uniform(0.03, 0.16))
        pen.line(
            (x, y, x + long * math.cos(turn), y + long * math.sin(turn)),
            fill=tone,
            width=int(rng.integers(1, 3)),
        )
    marks = np.asarray(image, dtype=float)
    return rng.uniform(0.1, 0.85) + marks + 0.05 * _smooth(rng, high, wide, 70)


def ribbed(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """Rubber of a tyre's side: fine ribs, dark."""
    y, x = np.mgrid[0:high, 0:wide]
    pitch, turn = rng.uniform(7, 16), rng.normal(0, 0.2)
    ribs = np.sin(2 * math.pi * (x * math.sin(turn) + y * math.cos(turn)) / pitch)
    return _light(rng.uniform(0.12, 0.3) + 0.022 * ribs + 0.03 * _smooth(rng, high, wide, 30))


# --- the marking itself ---------------------------------------------------------------------------


def _mask(rng: np.random.Generator, text: str, face: Path, size: float, spaced: float) -> Image.Image:
    """The letters as a mask, line under line."""
    font = ImageFont.truetype(str(face), int(size))
    lines = text.split("\n")
    wide = max(int(sum(font.getlength(one) + spaced for one in line)) for line in lines) + int(size)
    high = int(size * 1.35 * len(lines) + size * 0.6)
    image = Image.new("L", (wide, high), 0)
    pen = ImageDraw.Draw(image)
    for row, line in enumerate(lines):
        x = size * 0.5
        for one in line:
            pen.text((x, size * 0.25 + row * size * 1.35), one, font=font, fill=255)
            x += font.getlength(one) + spaced
    return image


def _bent(image: Image.Image, bend: float) -> Image.Image:
    """Bent as print round a tube is: each column moved by a parabola, and squeezed towards the ends."""
    seen = np.asarray(image)
    high, wide = seen.shape
    more = int(abs(bend) * high) + 2
    out = np.zeros((high + more, wide), np.uint8)
    across = np.linspace(-1, 1, wide)
    # Towards the ends of a tube a step on the photo is a longer one on the part.
    source = np.clip((np.sin(across * 1.1) / math.sin(1.1) + across) / 2, -1, 1)
    for column in range(wide):
        drop = int(more * (across[column] ** 2 if bend > 0 else 1 - across[column] ** 2))
        taken = int((source[column] + 1) / 2 * (wide - 1))
        out[drop : drop + high, column] = seen[:, taken]
    return Image.fromarray(out)


def _on(rng: np.random.Generator, ground: Floats, mask: Floats, style: str, strength: float) -> Floats:
    """The marking on its ground: ink, laser, cut in or raised, with light from one side."""
    level = float(np.median(ground[mask > 0.5])) if (mask > 0.5).any() else 0.5
    light = 1.0 if level < 0.5 else -1.0
    if level > 0.3 and level < 0.7 and rng.random() < 0.5:
        light = -light
    if style == "printed":
        return ground + light * strength * mask
    if style == "laser":
        grain = 1 + 0.35 * rng.normal(0, 1, mask.shape)
        return ground + light * 0.75 * strength * mask * grain
    turn = rng.uniform(0, 2 * math.pi)
    step = rng.uniform(1.0, 2.2)
    dx, dy = round(step * math.cos(turn)), round(step * math.sin(turn))
    if dx == dy == 0:
        dx = 1
    rise = mask - np.roll(mask, (dy, dx), (0, 1))
    if style == "etched":
        return ground + light * 0.45 * strength * mask + 0.55 * strength * rise
    return ground + 0.95 * strength * rise + light * 0.12 * strength * mask


def _shine(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """One streak of light, soft at its edges."""
    y, x = np.mgrid[0:high, 0:wide]
    turn = rng.uniform(0, math.pi)
    across = (x - rng.uniform(0.2, 0.8) * wide) * math.sin(turn) + (
        y - rng.uniform(0.2, 0.8) * high
    ) * math.cos(turn)
    return _light(rng.uniform(0.15, 0.6) * np.exp(-((across / rng.uniform(15, 70)) ** 2)))


def _tube(rng: np.random.Generator, high: int, wide: int) -> Floats:
    """A tube is darker towards its edges."""
    y = np.linspace(-1, 1, high)[:, None]
    return np.repeat(1 - rng.uniform(0, 0.45) * y**2, wide, axis=1)


def drawn(rng: np.random.Generator, world: World, text: DrawnText | None) -> DrawnMarking:
    """Draw one photo of a part, with this text on it or with nothing."""
    wide, high = int(rng.integers(560, 820)), int(rng.integers(340, 520))
    ground = world.grounds[int(rng.integers(len(world.grounds)))]
    field = ground(rng, high, wide)
    told = [ground.__name__]
    if text is not None:
        field, how = _marked(rng, field, world, text)
        told += how
    elif rng.random() < 0.6:
        field = _shapes(rng, field)
        told.append("shapes")
    field = field * _tube(rng, high, wide)
    if rng.random() < 0.3:
        field = field + _shine(rng, high, wide)
        told.append("shine")
    blur = float(np.clip(abs(rng.normal(0, 1.2)), 0.2, 3.0))
    noise = float(np.clip(abs(rng.normal(0, 0.03)), 0.004, 0.08))
    told.append(f"blur {blur:.1f}, noise {noise:.3f}")
    image = Image.fromarray(np.clip(field * 255, 0, 255).astype(np.uint8)).filter(
        ImageFilter.GaussianBlur(blur)
    )
    seen = np.asarray(image, dtype=float)
    tint = 1 + rng.normal(0, 0.06, 3)
    colour = seen[:, :, None] * tint[None, None, :] + 255 * noise * rng.normal(0, 1, (high, wide, 3))
    out = io.BytesIO()
    Image.fromarray(np.clip(colour, 0, 255).astype(np.uint8)).save(
        out, "JPEG", quality=int(rng.integers(55, 93))
    )
    return DrawnMarking(out.getvalue(), text, ", ".join(told))


def _marked(
    rng: np.random.Generator, field: Floats, world: World, text: DrawnText
) -> tuple[Floats, list[str]]:
    high, wide = field.shape
    face = world.faces[int(rng.integers(len(world.faces)))]
    style = STYLES[int(rng.integers(len(STYLES)))]
    words = text.forms[int(rng.integers(len(text.forms)))]
    size = float(rng.uniform(20, 52))
    mask = _mask(rng, words, face, size, float(rng.uniform(0, 0.12)) * size)
    bend = float(rng.normal(0, 0.35)) if rng.random() < 0.3 else 0.0
    if abs(bend) > 0.08:
        mask = _bent(mask, bend)
    turn = float(rng.uniform(-25, 25)) if rng.random() < 0.5 else float(rng.normal(0, 3))
    mask = mask.rotate(turn, Image.Resampling.BICUBIC, expand=True)
    room = min(0.92 * wide / mask.width, 0.92 * high / mask.height, 1.0)
    if room < 1.0:
        mask = mask.resize((int(mask.width * room), int(mask.height * room)), Image.Resampling.LANCZOS)
    left, top = int(rng.integers(0, wide - mask.width + 1)), int(rng.integers(0, high - mask.height + 1))
    whole = np.zeros((high, wide))
    whole[top : top + mask.height, left : left + mask.width] = np.asarray(mask, dtype=float) / 255
    strength = float(rng.uniform(0.10, 0.5))
    told = [face.stem, style, f"{size * room:.0f} px", f"strength {strength:.2f}", f"turned {turn:.0f}"]
    return _on(rng, field, whole, style, strength), told + ([f"bent {bend:.2f}"] if bend else [])


def _shapes(rng: np.random.Generator, field: Floats) -> Floats:
    """What parts have that is no marking: bolt heads, edges, cables."""
    high, wide = field.shape
    image = Image.new("F", (wide, high), 0.0)
    pen = ImageDraw.Draw(image)
    for _ in range(int(rng.integers(1, 5))):
        x, y, r = rng.uniform(0, wide), rng.uniform(0, high), rng.uniform(12, 90)
        tone = float(rng.choice([-1, 1]) * rng.uniform(0.05, 0.3))
        form = int(rng.integers(4))
        if form == 0:
            pen.ellipse((x - r, y - r, x + r, y + r), outline=tone, width=int(rng.integers(2, 9)))
        elif form == 1:
            turned = rng.uniform(0, 1)
            corners = [
                (x + r * math.cos(turned + k * math.pi / 3), y + r * math.sin(turned + k * math.pi / 3))
                for k in range(6)
            ]
            pen.polygon(corners, fill=tone)
        elif form == 2:
            pen.line((x, 0, x + rng.normal(0, 200), high), fill=tone, width=int(rng.integers(3, 26)))
        else:
            pen.rectangle((x, y, x + 2 * r, y + r), fill=tone)
    return _light(field + np.asarray(image, dtype=float))


TUNED_GROUNDS: tuple[Ground, ...] = (paint, brushed, clouds)
TESTED_GROUNDS: tuple[Ground, ...] = (weave, speckled, scratched, ribbed)
TESTED_FACES = (
    (
        "font_source_sans_pro",
        ("SourceSansPro-Regular.ttf", "SourceSansPro-Semibold.ttf", "SourceSansPro-Bold.ttf"),
    ),
    ("font_hanken_grotesk", ("HankenGrotesk-Medium.otf", "HankenGrotesk-Bold.otf")),
    ("font_manrope", ("Manrope-Medium.ttf", "Manrope-Bold.ttf")),
    ("font_lato", ("Lato-Regular.ttf", "Lato-Bold.ttf", "Lato-Black.ttf")),
)


def tuned() -> World:
    """The world that thresholds and treatments were chosen on: faces that lie in this tree."""
    from ratios.marking_texts import TUNED

    names = ("B612-Regular.otf", "B612-Bold.otf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
    return World("tuned", faces_of("pinchbolt.drawing", names), TUNED_GROUNDS, TUNED)


def tested() -> World:
    """The world of the score: other faces, other grounds, other texts."""
    from ratios.marking_texts import TESTED

    faces = tuple(one for package, names in TESTED_FACES for one in faces_of(package, names))
    return World("tested", faces, TESTED_GROUNDS, TESTED)
