"""What a torque buys: the preload in the bolt, by the short and the long form, and its share of proof."""

from dataclasses import dataclass
from math import isfinite, pi, sqrt

from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.wording import worded

# Assembly uses at most this share of the yield under tension and twist together. VDI 2230.
SHARE_OF_YIELD = 0.9


@dataclass(frozen=True, slots=True)
class LongForm:
    """Preload and torque of one bolt at `SHARE_OF_YIELD` of its yield. [N], [N·m]"""

    preload: float
    torque: float


def stress_area(diameter: float, pitch: float) -> float:
    """Return the nominal stress area of an ISO metric thread.

    A = pi / 4 * (d - 0.9382 P)^2.

    Args:
        diameter: Nominal diameter, d. [mm]
        pitch: Pitch, P. [mm]

    Returns:
        Stress area. [mm2]

    Raises:
        InputRefused: Not finite, not above 0, or a pitch that leaves no core.

    Valid for: ISO metric threads. Inch threads of old bikes have another profile.

    Example:
        >>> round(stress_area(5.0, 0.8), 2)
        14.18

    Source: ISO 898-1:2013.
    """
    _refuse_bad_thread(diameter, pitch)
    return pi / 4 * (diameter - 0.9382 * pitch) ** 2


def preload_by_nut_factor(torque: Interval, diameter: float, nut_factor: Interval) -> Interval:
    """Return the preload that a torque buys, by the short form T = K d F.

    F = T / (K d); least from the least torque and the highest K, greatest from the greatest torque and the lowest K.

    Args:
        torque: What the bolt may get. [N·m]
        diameter: Nominal diameter. [mm]
        nut_factor: Lowest and highest nut factor K of this condition. [-]

    Returns:
        Least and greatest preload. [N]

    Raises:
        InputRefused: Not finite, not above 0.

    Valid for: A first look. K gathers all friction in one number and scatters by a quarter and more.

    Example:
        >>> preload = preload_by_nut_factor(Interval(5.0, 5.0), 5.0, Interval(0.15, 0.20))
        >>> round(preload.low), round(preload.high)
        (5000, 6667)

    Source: Machine design handbooks, short form; K by condition from the same table, see docs/methods/torque.md.
    """
    ends = (torque.low, torque.high, diameter, nut_factor.low, nut_factor.high)
    if not all(isfinite(end) and end > 0 for end in ends):
        raise InputRefused(
            worded(
                "torque is {low:g} to {high:g} N·m, thread {diameter:g} mm, nut factor "
                "{nut_factor_low:g} to {nut_factor_high:g}: all are above 0. Correct the one that is "
                "not.",
                low=torque.low,
                high=torque.high,
                diameter=diameter,
                nut_factor_low=nut_factor.low,
                nut_factor_high=nut_factor.high,
            )
        )
    metres = diameter / 1000
    return Interval(torque.low / (nut_factor.high * metres), torque.high / (nut_factor.low * metres))


def preload_by_long_form(
    diameter: float,
    pitch: float,
    yield_stress: float,
    friction: float,
    bearing_outer: float,
    hole: float,
    head_friction: float | None = None,
) -> LongForm:
    """Return preload and torque that take a bolt to 90 % of its yield under tension and twist together.

    sigma = 0.9 Rp / sqrt(1 + 3 (1.5 (d2 / dS) (P / (pi d2) + 1.155 mu_G))^2), F = sigma AS,
    M = F (0.16 P + 0.58 d2 mu_G + DKm / 2 mu_K), dS = (d2 + d3) / 2, AS = pi / 4 dS^2, DKm = (dw + dh) / 2,
    d2 = d - 0.649519 P, d3 = d - 1.226869 P.

    Args:
        diameter: Nominal diameter, d. [mm]
        pitch: Pitch, P. [mm]
        yield_stress: Rp0.2 of the class; 8.8 is 640, 10.9 is 940, 12.9 is 1100, A2-70 is 450. [MPa]
        friction: Friction in the thread, mu_G, and under the head unless that is given. [-]
        bearing_outer: Outer diameter of the bearing face, dw. [mm]
        hole: Diameter of the through hole, dh. [mm]
        head_friction: Friction under the head, mu_K. [-]

    Returns:
        Preload and torque. [N], [N·m]

    Raises:
        InputRefused: Not finite, not above 0, or a bearing face inside its hole.

    Valid for: ISO metric threads, steady tightening, flat bearing face.

    Example:
        >>> bolt = preload_by_long_form(8.0, 1.0, 640.0, 0.12, 11.63, 9.0)
        >>> round(bolt.preload / 1000, 1), round(bolt.torque, 1)
        (20.2, 26.1)

    Source: VDI 2230:2001.
    """
    _refuse_bad_thread(diameter, pitch)
    under_head = friction if head_friction is None else head_friction
    positive = (yield_stress, friction, under_head, hole)
    if not all(isfinite(value) and value > 0 for value in positive) or not bearing_outer > hole:
        raise InputRefused(
            worded(
                "yield is {yield_stress:g} MPa, friction {friction:g}, bearing face "
                "{bearing_outer:g} mm over a hole of {hole:g} mm: all are above 0 and the face is "
                "wider than its hole. Correct the one that is not.",
                yield_stress=yield_stress,
                friction=friction,
                bearing_outer=bearing_outer,
                hole=hole,
            )
        )
    flank = diameter - 0.649519 * pitch
    core = diameter - 1.226869 * pitch
    stressed = (flank + core) / 2
    twist = 1.5 * flank / stressed * (pitch / (pi * flank) + 1.155 * friction)
    stress = SHARE_OF_YIELD * yield_stress / sqrt(1 + 3 * twist**2)
    preload = stress * pi / 4 * stressed**2
    mean_face = (bearing_outer + hole) / 2
    arm = 0.16 * pitch + 0.58 * flank * friction + mean_face / 2 * under_head
    return LongForm(preload, preload * arm / 1000)


def share_of_proof(preload: Interval, area: float, proof_stress: float) -> Interval:
    """Return the preload as a share of the bolt's proof load, proof stress * stress area.

    Args:
        preload: Least and greatest preload. [N]
        area: Stress area. [mm2]
        proof_stress: Proof stress of the class; 8.8 is 580, 10.9 is 830, 12.9 is 970. [MPa]

    Returns:
        Share of proof load; 0.75 is the usual limit for joints that are undone again. [-]

    Raises:
        InputRefused: Area or proof stress not above 0.

    Valid for: Plain tension; the twist of tightening comes on top, see `preload_by_long_form`.

    Example:
        >>> share = share_of_proof(Interval(6172.5, 6172.5), 14.19, 580.0)
        >>> round(share.high, 3)
        0.75

    Source: ISO 898-1:2013, proof loads.
    """
    if not (isfinite(area) and isfinite(proof_stress) and area > 0 and proof_stress > 0):
        raise InputRefused(
            worded(
                "stress area is {area:g} mm2 and proof stress {proof_stress:g} MPa: both are above "
                "0. Correct the thread or class.",
                area=area,
                proof_stress=proof_stress,
            )
        )
    proof = area * proof_stress
    return Interval(preload.low / proof, preload.high / proof)


def _refuse_bad_thread(diameter: float, pitch: float) -> None:
    if not (isfinite(diameter) and isfinite(pitch) and pitch > 0 and diameter > 1.226869 * pitch):
        raise InputRefused(
            worded(
                "thread is M{diameter:g} x {pitch:g}: both are above 0 and the pitch leaves a core. "
                "Read the thread again.",
                diameter=diameter,
                pitch=pitch,
            )
        )
