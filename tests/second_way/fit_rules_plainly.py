"""The fit rules of figures once more, each as the table's own words say it, in plain arithmetic without the rule language.

Sources: the words of the rule of the same name (common practice, no source, but for the tyre rules: ISO 5775 and ISO 4210-2).
Each takes the inputs of the rule by their names and gives the verdict.
"""

from math import isclose
from typing import Any

NO, WITH, YES, OPEN = "does not fit", "fits with", "fits", "cannot tell"


def sprocket_limits(
    big: int, small: int, max_big: int, min_small: int, hanger_link: bool, min_big: int
) -> str:
    """A tooth or two over without promise, up to eight with a longer link; never a smallest below the least."""
    over = big - max_big
    if small < min_small or over > 8 or (over > 2 and not hanger_link):
        return NO
    return WITH if over > 0 or big < min_big else YES


def capacity(ring_big: int, ring_small: int, sprocket_big: int, sprocket_small: int, capacity: int) -> str:
    """Both differences added up; three teeth over with the owner's word."""
    over = (ring_big - ring_small) + (sprocket_big - sprocket_small) - capacity
    return YES if over <= 0 else WITH if over <= 3 else NO


def front_difference(
    ring_big: int, ring_small: int, max_difference: int, max_ring: int, min_ring: int
) -> str:
    """Difference and biggest ring are hard, a small big ring shifts slowly."""
    if ring_big - ring_small > max_difference or ring_big > max_ring:
        return NO
    return WITH if ring_big < min_ring else YES


def shift_pull(pull: float, ratio: float, pitch: float, speeds_shifter: int, speeds_cassette: int) -> str:
    """What counts is the error at the outermost sprocket; one click too many can be shut out."""
    error = abs(pull * ratio - pitch) * (speeds_cassette - 1) / 2
    if speeds_shifter == speeds_cassette + 1:
        return WITH if error <= 1.0 + 1e-9 else NO
    if speeds_shifter != speeds_cassette:
        return NO
    return YES if error <= 0.6 + 1e-9 else WITH if error <= 1.0 + 1e-9 else NO


def thru_axle(
    axle_diameter: float, frame_diameter: float, axle_pitch: float, frame_pitch: float, axle_length: float, frame_length: float
) -> str:  # fmt: skip
    """Diameter and pitch equal; within a millimetre, or a washer for up to four too long."""
    longer = axle_length - frame_length
    if not isclose(axle_diameter, frame_diameter) or not isclose(axle_pitch, frame_pitch):
        return NO
    return YES if abs(longer) <= 1 + 1e-9 else WITH if 0 < longer <= 4 + 1e-9 else NO


def rotor_post(rotor: int, native: int, max_rotor: int, adapters: dict[str, Any]) -> str:
    """Native without adapter, bigger with one, smaller never; the greatest is a hard stop."""
    if rotor > max_rotor or rotor < native:
        return NO
    return YES if rotor == native else WITH if str(rotor) in adapters else OPEN


def tyre_frame(tyre_width: float, rim_inner: float, opening: float, racing: bool, measuring: float) -> str:
    """Mounted width by 0.4 mm a millimetre of rim; 6 mm a side, 4 on racing bikes; a millimetre less with care."""
    room = (opening - (tyre_width + 0.4 * (rim_inner - measuring))) / 2
    need = 4 if racing else 6
    return YES if room >= need - 1e-9 else WITH if room >= need - 1 - 1e-9 else NO


def tyre_width(
    rim_inner: float, hook: bool, tyre_width: float, allowed: bool, pressure: float, ceilings: tuple[float, float],
    span: tuple[float, float],
) -> str:  # fmt: skip
    """Within the rim's range; without hooks also rim plus 5, 28, the maker's word, and 5.0 bar at most."""
    low, high = span
    if not hook:
        if not allowed:
            return NO
        low = max(low, rim_inner + 5, 28)
    if not low - 1e-9 <= tyre_width <= high + 1e-9:
        return NO
    return WITH if pressure > min(*ceilings, *(() if hook else (5.0,))) + 1e-9 else YES


def valve(valve: str, hole: float, rim_depth: float, stem_length: float) -> str:
    """A car valve never through a small hole, a Dunlop by its kind; a thin one with a grommet; 12 mm of stem."""
    if (valve == "schrader" and hole < 8) or (valve == "dunlop" and hole < 6.4):
        return NO
    if valve == "dunlop" and hole < 8:
        return OPEN
    return WITH if (valve == "presta" and hole > 8) or stem_length - rim_depth < 12 else YES


def chain_line(front: float, rear: float, kind: str) -> str:
    """Belt 1 mm; single speed 1.5, to 3 with a spacer; one ring -1 to 4, to -3 and 6; more rings 2, to 4."""
    off = front - rear
    if kind == "belt":
        return YES if abs(off) <= 1 + 1e-9 else NO
    if kind in ("single speed", "hub gear"):
        return YES if abs(off) <= 1.5 + 1e-9 else WITH if abs(off) <= 3 + 1e-9 else NO
    if kind == "one ring":
        return YES if -1 - 1e-9 <= off <= 4 + 1e-9 else WITH if -3 - 1e-9 <= off <= 6 + 1e-9 else NO
    return YES if abs(off) <= 2 + 1e-9 else WITH if abs(off) <= 4 + 1e-9 else NO


def spoke_nipple(spoke_thread: str, nipple_thread: str, length_computed: float, length_stock: float) -> str:
    """One thread; 1.5 mm short to half a millimetre long, to 2.5 short and 1.0 long with care."""
    off = length_stock - length_computed
    if spoke_thread != nipple_thread:
        return NO
    return YES if -1.5 - 1e-9 <= off <= 0.5 + 1e-9 else WITH if -2.5 - 1e-9 <= off <= 1.0 + 1e-9 else NO


def stem_steerer(
    stem: float, steerer: float, steerer_length: float, head_tube_stack: float, spacers: float, stem_height: float
) -> str:  # fmt: skip
    """A clamp too small never, too big with a shim; the gap 1 to 5 mm, else spacers more or less."""
    gap = head_tube_stack + spacers + stem_height - steerer_length
    if stem < steerer - 0.05 or (gap > 5 + 1e-9 and spacers < gap - 3 - 1e-9):
        return NO
    return YES if 1 - 1e-9 <= gap <= 5 + 1e-9 and stem <= steerer + 0.05 else WITH


def tabs(rotor: int, max_rotor: int, adapters: dict[str, str]) -> str:
    """Each rotor its own adapter; below the smallest never; between two nobody has vouched for one."""
    if rotor > max_rotor:
        return NO
    return WITH if str(rotor) in adapters else NO if rotor < min(map(int, adapters)) else OPEN


def seat_post(post: float, tube: float, shims: dict[str, list[float]]) -> str:
    """Equal to 0.05 mm; thicker never; thinner where a shim is made; from 0.4 mm on one may be made that nobody listed."""
    if abs(tube - post) < 0.05:
        return YES
    made = [size for known, sizes in shims.items() if isclose(float(known), post) for size in sizes]
    if tube > post and any(isclose(size, tube) for size in made):
        return WITH
    return OPEN if tube - post > 0.4 - 1e-9 else NO


def bar_stem(bar: float, stem: float, bar_material: str, shims: dict[str, list[float]]) -> str:
    """25.8 counts as 26.0, 31.7 and 31.8 are 1.25 in; thicker never; thinner with a shim, never on carbon, titanium by its maker."""
    bar, stem = (
        26.0 if abs(one - 25.8) < 0.05 else 31.8 if abs(one - 31.75) < 0.06 else one for one in (bar, stem)
    )
    if abs(stem - bar) < 0.05:
        return YES
    if stem < bar or bar_material == "carbon":
        return NO
    made = [size for known, sizes in shims.items() if isclose(float(known), bar) for size in sizes]
    if bar_material == "titanium":
        return OPEN
    return WITH if any(isclose(size, stem) for size in made) else NO
