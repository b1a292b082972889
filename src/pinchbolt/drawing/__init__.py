"""Drawings as SVG text, the same on screen and on paper: wear rule, torque window, gears, QR code, bike.

Each drawing takes plain values and gives one ``<svg>``. On the screen it is drawn in the page's own ink
(`currentColor`), so it follows light and dark and needs no style sheet; every piece also has a class (`wr-...`)
for a page that wants more. With ``paper=True`` it brings its own colours and font.
"""

from pinchbolt.drawing.bike_drawing import PIECES, bike_drawing, stand_drawing
from pinchbolt.drawing.bike_labels import PLACES, Spot
from pinchbolt.drawing.bolt_order import bolt_order, star_order
from pinchbolt.drawing.faces import FACES, FONTS, STANDS_IN, letters
from pinchbolt.drawing.gears_drawing import GearAt, RingRow, gears_drawing
from pinchbolt.drawing.life_line import ReadAt, life_line
from pinchbolt.drawing.qr import qr_code
from pinchbolt.drawing.torque_window import torque_window
from pinchbolt.drawing.use_line import FittedTo, ReadOn, UsedBy, use_line, week_bars
from pinchbolt.drawing.verdict_mark import verdict_mark
from pinchbolt.drawing.wear_rule import wear_rule
from pinchbolt.drawing.wheel_drawing import SpokeMark, lacing_drawing, wheel_drawing

__all__ = [
    "FACES",
    "FONTS",
    "PIECES",
    "PLACES",
    "STANDS_IN",
    "FittedTo",
    "GearAt",
    "ReadAt",
    "ReadOn",
    "RingRow",
    "SpokeMark",
    "Spot",
    "UsedBy",
    "bike_drawing",
    "bolt_order",
    "gears_drawing",
    "lacing_drawing",
    "letters",
    "life_line",
    "qr_code",
    "stand_drawing",
    "star_order",
    "torque_window",
    "use_line",
    "verdict_mark",
    "wear_rule",
    "week_bars",
    "wheel_drawing",
]
