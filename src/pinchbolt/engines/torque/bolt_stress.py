"""What a torque does to this bolt: preload with its doubt, share of proof, and another preparation than was meant."""

from dataclasses import dataclass
from math import isfinite

from pinchbolt.engines.torque.preload import preload_by_nut_factor, share_of_proof, stress_area
from pinchbolt.engines.torque.refusals import figure
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Interval, Reason
from pinchbolt.values.about import about, percent
from pinchbolt.values.wording import worded

# Joints that are undone again are preloaded to three quarters of proof. Machine design handbooks.
SHARE_FOR_REUSED_JOINTS = 0.75
# The nut factor's table gives one sigma of the preload; two are carried. Own choice.
SIGMAS = 2.0
SHORT_FORM = worded("short form T = K d F, machine design handbooks")


@dataclass(frozen=True, slots=True)
class Preparation:
    """How thread and head are prepared, and the nut factors K that go with it."""

    name: str
    nut_factor: Interval
    source: str


@dataclass(frozen=True, slots=True)
class BoltSpec:
    """One bolt: thread in mm, class with its proof stress in MPa (None where the head says nothing), preparation.

    `meant` is the preparation that the torque was given for; `found` another one met on the bike, where it differs.
    """

    name: str
    diameter: float
    pitch: float
    property_class: str
    proof_stress: float | None
    meant: Preparation
    found: Preparation | None = None


@dataclass(frozen=True, slots=True)
class BoltJudged:
    """Preload in N and its share of proof, as meant and, where the preparation differs, as found."""

    preload: Interval
    share: Interval | None
    preload_as_found: Interval | None
    share_as_found: Interval | None
    reasons: tuple[Reason, ...]
    warnings: tuple[str, ...]


def preparation_by_spread(name: str, nut_factor: float, spread: float, source: str) -> Preparation:
    """Return a preparation with the nut factors that two sigmas of preload allow.

    F lies in F0 (1 - 2 s) to F0 (1 + 2 s), so K lies in K0 / (1 + 2 s) to K0 / (1 - 2 s).

    Args:
        name: Name of the preparation. [-]
        nut_factor: Usual nut factor, K0. [-]
        spread: One sigma of the preload at the same torque, relative, s. [-]
        source: Where K and spread are from. [-]

    Returns:
        The preparation with its interval of K. [-]

    Raises:
        InputRefused: K not above 0, or a spread of half and more.

    Valid for: The short form.

    Example:
        >>> prepared = preparation_by_spread("grease", 0.15, 0.12, "common practice, no source")
        >>> round(prepared.nut_factor.low, 3), round(prepared.nut_factor.high, 3)
        (0.121, 0.197)

    Source: Own derivation.
    """
    if not (isfinite(nut_factor) and isfinite(spread) and nut_factor > 0 and 0 <= spread < 1 / SIGMAS):
        raise InputRefused(
            worded(
                "{name}: nut factor {nut_factor:g} with a spread of {spread:g}: the factor is above "
                "0 and the spread from 0 to under 0.5. Correct the row.",
                name=name,
                nut_factor=nut_factor,
                spread=spread,
            )
        )
    return Preparation(
        name, Interval(nut_factor / (1 + SIGMAS * spread), nut_factor / (1 - SIGMAS * spread)), source
    )


def judge_bolt(bolt: BoltSpec, applied: Interval) -> BoltJudged:
    """Return what *applied* does to *bolt*: preload, share of proof, and warnings past 75 % of proof.

    Another preparation than was meant is shown as another range of preload. The torque is never scaled: which torque
    goes with which preparation is for the maker to say.

    Args:
        bolt: Thread, class and preparation. [mm], [MPa]
        applied: What the bolt may get. [N·m]

    Returns:
        Preload and share of proof, as meant and as found. [N], [-]

    Raises:
        InputRefused: A thread, torque or class that cannot be.

    Valid for: ISO metric bolts. A sanity check of the torque, never a permission to go higher.

    Source: ISO 898-1:2013 for proof; short form T = K d F; 75 % for joints that are undone: machine design handbooks.
    """
    preload = preload_by_nut_factor(applied, bolt.diameter, bolt.meant.nut_factor)
    share = _share(bolt, preload)
    found_preload = found_share = None
    reasons = [_reason(bolt, bolt.meant, applied, preload, share)]
    warnings = list(_past_proof(bolt, bolt.meant, share))
    if bolt.found is not None and bolt.found.name != bolt.meant.name:
        found_preload = preload_by_nut_factor(applied, bolt.diameter, bolt.found.nut_factor)
        found_share = _share(bolt, found_preload)
        reasons.append(_reason(bolt, bolt.found, applied, found_preload, found_share))
        warnings.append(_differs(bolt, bolt.found, preload, found_preload))
        warnings.extend(_past_proof(bolt, bolt.found, found_share))
    if share is None:
        reasons.append(
            Reason(
                worded(
                    "{name}: the class cannot be read off the head: the share of proof cannot be told.",
                    name=bolt.name,
                )
            )
        )
    return BoltJudged(preload, share, found_preload, found_share, tuple(reasons), tuple(warnings))


def greatest_for_reuse(bolt: BoltSpec) -> float:
    """Return the torque at which this bolt may reach 75 % of proof, at the lowest friction of its preparation.

    T = K d F with the lowest K and F = 0.75 * proof stress * stress area.

    Args:
        bolt: Thread, class and preparation. [mm], [MPa]

    Returns:
        That torque, for comparison with the joint's cap. [N·m]

    Raises:
        Unknown: The class cannot be read.
        InputRefused: A thread that cannot be.

    Valid for: A comparison. It is no target: what the joint clamps nearly always bears less than the bolt.

    Source: ISO 898-1:2013; short form T = K d F.
    """
    if bolt.proof_stress is None:
        raise Unknown(
            worded(
                "{name}: the class cannot be read off the head. Read it, or change the bolt for a "
                "marked one.",
                name=bolt.name,
            )
        )
    preload = SHARE_FOR_REUSED_JOINTS * bolt.proof_stress * stress_area(bolt.diameter, bolt.pitch)
    return bolt.meant.nut_factor.low * bolt.diameter / 1000 * preload


def _share(bolt: BoltSpec, preload: Interval) -> Interval | None:
    if bolt.proof_stress is None:
        return None
    return share_of_proof(preload, stress_area(bolt.diameter, bolt.pitch), bolt.proof_stress)


def _newtons(force: Interval) -> str:
    """A clamping force with the two digits that count."""
    low, high = about(force.low), about(force.high)
    return f"{low} N" if low == high else worded("{low} to {high} N", low=low, high=high)


def _reason(
    bolt: BoltSpec, prep: Preparation, applied: Interval, preload: Interval, share: Interval | None
) -> Reason:
    of_proof = (
        worded(
            ", {low} to {high} of proof in class {property_class}",
            low=percent(share.low),
            high=percent(share.high),
            property_class=bolt.property_class,
        )
        if share
        else ""
    )
    words = worded(
        "{name}, M{diameter:g} x {pitch:g}, {prep_name} (K {low:.2f} to {high:.2f}): "
        "{figure} to {applied_figure} N·m clamps with {newtons}{of_proof}.",
        name=bolt.name,
        diameter=bolt.diameter,
        pitch=bolt.pitch,
        prep_name=prep.name,
        low=prep.nut_factor.low,
        high=prep.nut_factor.high,
        figure=figure(applied.low),
        applied_figure=figure(applied.high),
        newtons=_newtons(preload),
        of_proof=of_proof,
    )
    return Reason(words, prep.name, f"{SHORT_FORM}; K: {prep.source}")


def _past_proof(bolt: BoltSpec, prep: Preparation, share: Interval | None) -> list[str]:
    if share is None or share.high <= SHARE_FOR_REUSED_JOINTS:
        return []
    how = "passes" if share.low > SHARE_FOR_REUSED_JOINTS else worded("may pass")
    over = worded(" and may stretch for good") if share.high > 1 else ""
    proved = worded(
        "{share_for_reused_joints} of what a {property_class} bolt is proved for",
        share_for_reused_joints=percent(SHARE_FOR_REUSED_JOINTS),
        property_class=bolt.property_class,
    )
    return [
        worded(
            "{name}: with {prep_name} this torque {how} {proved} (up to {high}){over}. Check "
            "class and preparation before tightening.",
            name=bolt.name,
            prep_name=prep.name,
            how=how,
            proved=proved,
            high=percent(share.high),
            over=over,
        )
    ]


def _differs(bolt: BoltSpec, found: Preparation, meant: Interval, as_found: Interval) -> str:
    more = as_found.low + as_found.high > meant.low + meant.high
    risk = worded("more: parts may crush") if more else worded("less: the joint may slip")
    return worded(
        "{name} was meant {meant_name} and is {found_name}: the same torque clamps with "
        "{as_found} instead of {as_meant}, {risk}. Clean it and prepare it as meant; the "
        "torque is not changed to suit.",
        name=bolt.name,
        meant_name=bolt.meant.name,
        found_name=found.name,
        as_found=_newtons(as_found),
        as_meant=_newtons(meant),
        risk=risk,
    )
