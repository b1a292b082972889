"""What is drawn: texts as parts carry them, each with its forms, the place it stands at, and the truth, written by hand.

Truth is in SI and by the names of `MarkingFigure`; a text of words alone (a class, a frame number) has its words. The bounds are
those that a workshop knows before it reads: of the joint, of the limit's row, of the tyre.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class DrawnText:
    """Kind, forms of the same marking, truth in SI, bounds of the place in SI (None: not known), words where they are the truth."""

    kind: str
    forms: tuple[str, ...]
    truth: Mapping[str, float]
    bounds: tuple[float, float] | None = None
    words: str = ""
    other: Mapping[str, float] = field(default_factory=dict)


def _torque(low: float | None, high: float | None, bounds: tuple[float, float], *forms: str) -> DrawnText:
    named = {"least": low, "greatest": high}
    return DrawnText(
        "torque", forms, {name: value for name, value in named.items() if value is not None}, bounds
    )


def _pressure(low: float | None, high: float | None, kind: str, *forms: str) -> DrawnText:
    named = {"least": low, "greatest": high}
    return DrawnText(
        kind, forms, {name: value for name, value in named.items() if value is not None}, (1.0e5, 12.0e5)
    )


def _size(width: float, seat: float, *forms: str) -> DrawnText:
    return DrawnText("tyre-size", forms, {"width": width / 1000, "bead_seat": seat / 1000})


def _thin(kind: str, mm: float, bounds: tuple[float, float], *forms: str) -> DrawnText:
    return DrawnText(kind, forms, {"thickness": mm / 1000}, (bounds[0] / 1000, bounds[1] / 1000))


def _round(mm: float, bounds: tuple[float, float], *forms: str) -> DrawnText:
    return DrawnText("diameter", forms, {"diameter": mm / 1000}, (bounds[0] / 1000, bounds[1] / 1000))


def _words(kind: str, words: str, *forms: str) -> DrawnText:
    return DrawnText(kind, forms or (words,), {}, None, words)


STEM, POST, CRANK, ROTOR_BOLT, AXLE = (2.0, 12.0), (3.0, 20.0), (5.0, 60.0), (2.0, 50.0), (5.0, 20.0)
BAR, PSI = 1e5, 6894.757293168362

TUNED: tuple[DrawnText, ...] = (
    _torque(None, 6.0, STEM, "MAX 6 N·m", "MAX. 6Nm", "6Nm MAX"),
    _torque(None, 4.5, STEM, "4.5 Nm", "4.5 N·m"),
    _torque(None, 7.0, POST, "7 N·m / 62 in·lb", "7Nm (62 in-lb)"),
    _torque(5.0, 8.0, STEM, "5-8 N·m", "5 - 8 Nm"),
    _torque(None, 45.0, CRANK, "45 Nm", "45 N·m (33 lbf·ft)"),
    _torque(None, 3.5, STEM, "MAX 3.5 Nm"),
    _torque(11.0, 13.0, POST, "11-13 N·m", "TORQUE 11-13 Nm"),
    _torque(None, 6.2, ROTOR_BOLT, "6.2 Nm", "6.2 N·m 55 in·lb"),
    _thin("rotor-limit", 1.5, (0.8, 2.6), "MIN TH 1.5", "MIN.TH=1.5mm", "MIN. TH. 1.5 mm"),
    _thin("rotor-limit", 1.8, (0.8, 2.6), "MIN THICKNESS 1.8mm", "MIN TH 1.8"),
    _thin("pad-limit", 0.5, (0.3, 4.0), "MIN 0.5 mm"),
    _size(28, 622, "28-622", "700x28C (28-622)"),
    _size(57, 584, "57-584", "27.5x2.25 57-584"),
    _size(32, 406, "32-406"),
    _size(47, 559, "26x1.75 47-559", "47-559"),
    _pressure(3.0 * BAR, 5.0 * BAR, "pressure", "3.0-5.0 bar", "3-5 bar"),
    _pressure(None, 7.0 * BAR, "pressure", "MAX 7 bar", "MAX 7 bar 102 psi"),
    _pressure(50 * PSI, 85 * PSI, "pressure", "50-85 PSI", "INFLATE 50-85 psi"),
    _pressure(None, 8.5 * BAR, "rim-limit", "MAX 8.5 bar", "MAX PRESSURE 8.5 bar"),
    _round(27.2, (22.0, 36.0), "27.2", "27.2 mm"),
    _round(25.4, (22.0, 36.0), "25.4 mm", "25.4"),
    _words("bolt-class", "8.8"),
    _words("bolt-class", "A2-70"),
    DrawnText(
        "battery",
        ("36V 11.6Ah 418Wh", "36 V  11.6 Ah  418 Wh"),
        {"voltage": 36, "charge": 41760, "energy": 1504800},
    ),
    DrawnText("speed", ("45 km/h", "MAX 45 km/h"), {"speed": 12.5}),
    _words("frame-number", "KT84C20117"),
    _words("frame-number", "F2206X0394"),
)

TESTED: tuple[DrawnText, ...] = (
    _torque(None, 5.0, STEM, "MAX 5 N·m", "MAX 5Nm", "5 N·m MAX"),
    _torque(None, 5.0, STEM, "5 Nm", "5N·m"),
    _torque(None, 5.0, STEM, "5 N·m (44 in·lb)", "5 Nm / 44 in-lb", "5Nm 44 in.lb"),
    _torque(None, 5.5, STEM, "5.5 N·m", "MAX 5.5 Nm"),
    _torque(4.0, 6.0, STEM, "4-6 N·m", "4 - 6 Nm"),
    _torque(None, 8.0, POST, "MAX 8 N·m", "8 Nm MAX"),
    _torque(None, 6.5, POST, "6.5 Nm", "MAX TORQUE 6.5 N·m"),
    _torque(12.0, 14.0, CRANK, "12-14 N·m", "12-14 Nm"),
    _torque(None, 40.0, CRANK, "40 N·m", "40 Nm (30 ft·lb)"),
    _torque(35.0, 50.0, CRANK, "35-50 N·m", "35 - 50 Nm"),
    _torque(None, 12.0, AXLE, "12 N·m MAX", "MAX 12 Nm"),
    _torque(None, 4.0, ROTOR_BOLT, "4 Nm (35 in·lb)", "4 N·m / 35 in-lb"),
    _torque(None, 2.5, STEM, "2.5 Nm", "MAX 2.5 N·m"),
    _torque(None, 50 * 9.80665 / 100, STEM, "50 kgf·cm", "50 kgf-cm"),
    _torque(None, 15.0, AXLE, "15 N·m", "TORQUE 15 Nm"),
    _torque(None, 1.5, STEM, "1.5 N·m", "1.5 Nm"),
    _thin("rotor-limit", 1.5, (0.8, 2.6), "MIN.TH.1.5", "MIN TH=1.5mm"),
    _thin("rotor-limit", 1.55, (0.8, 2.6), "MIN TH 1.55 mm", "MIN. TH. 1.55"),
    _thin("rotor-limit", 1.6, (0.8, 2.6), "MIN THICKNESS 1.6mm"),
    _thin("rotor-limit", 1.7, (0.8, 2.6), "MIN 1.7 mm"),
    _thin("pad-limit", 1.0, (0.3, 4.0), "MIN 1.0 mm", "MIN. 1.0mm"),
    _thin("pad-limit", 3.0, (0.3, 4.0), "MIN THICKNESS 3.0 mm"),
    _size(40, 622, "40-622", "700x40C 40-622", "40-622 (700x40C)"),
    _size(25, 622, "25-622", "700x25C 25-622"),
    _size(37, 622, "37-622 28x1.40", "37-622"),
    _size(54, 559, "54-559 26x2.10", "54-559"),
    _size(47, 622, "47-622"),
    _size(60, 622, "60-622 29x2.35", "60-622"),
    _size(50, 584, "50-584", "650x50B 50-584"),
    _size(37, 590, "37-590 26x1-3/8", "37-590"),
    _size(35, 349, "35-349 16x1-3/8", "35-349"),
    _size(47, 406, "47-406 20x1.75", "47-406"),
    _size(23, 571, "23-571", "650x23C 23-571"),
    _pressure(3.5 * BAR, 6.0 * BAR, "pressure", "3.5-6.0 bar", "3.5 - 6.0 bar"),
    _pressure(4.0 * BAR, 6.0 * BAR, "pressure", "4-6 bar / 58-87 psi", "4.0-6.0 BAR 58-87 PSI"),
    _pressure(None, 5.0 * BAR, "pressure", "MAX 5 bar (73 psi)", "MAX 5 bar"),
    _pressure(None, 4.5 * BAR, "pressure", "MAX 4.5 bar", "4.5 bar MAX"),
    _pressure(35 * PSI, 65 * PSI, "pressure", "35-65 PSI", "INFLATE TO 35-65 PSI"),
    _pressure(None, 450e3, "pressure", "450 kPa", "MAX 450 kPa"),
    _pressure(None, 9.0 * BAR, "rim-limit", "MAX 9 bar", "MAX 9 bar 130 psi"),
    _pressure(None, 120 * PSI, "rim-limit", "MAX 120 psi", "MAX PRESSURE 120 PSI"),
    _round(31.8, (22.0, 36.0), "31.8", "31.8 mm", "Ø31.8"),
    _round(31.6, (22.0, 36.0), "31.6", "31.6 mm"),
    _round(30.9, (22.0, 36.0), "30.9 mm", "30.9"),
    _round(28.6, (22.0, 36.0), "28.6", "28.6mm"),
    _round(34.9, (22.0, 36.0), "34.9 mm", "34.9"),
    _words("bolt-class", "10.9"),
    _words("bolt-class", "12.9"),
    _words("bolt-class", "A4-80"),
    _words("bolt-class", "5.8"),
    DrawnText(
        "battery",
        ("36V 14Ah 504Wh", "36 V 14 Ah 504 Wh"),
        {"voltage": 36, "charge": 50400, "energy": 1814400},
    ),
    DrawnText("battery", ("48V 12.8Ah 614Wh",), {"voltage": 48, "charge": 46080, "energy": 2210400}),
    DrawnText("battery", ("36 V  625 Wh", "36V / 625Wh"), {"voltage": 36, "energy": 2250000}),
    DrawnText("battery", ("37V 10.4Ah 385Wh",), {"voltage": 37, "charge": 37440, "energy": 1386000}),
    DrawnText("speed", ("25 km/h", "MAX 25 km/h"), {"speed": 25 / 3.6}),
    DrawnText("speed", ("20 mph", "MAX 20 mph"), {"speed": 20 * 1609.344 / 3600}),
    _words("frame-number", "WSB5031847"),
    _words("frame-number", "C19H402265"),
    _words("frame-number", "M84073126"),
    _words("frame-number", "AT2407N0092"),
)
