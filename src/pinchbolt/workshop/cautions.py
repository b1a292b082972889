"""Cautions, printed where they bite: by what is on the bike. Common practice, no source; the makers' word wins."""

from collections.abc import Collection

from pinchbolt.records.models import Bike
from pinchbolt.reference.rows.joints import Joint
from pinchbolt.workshop.features import features

MARKING_WINS = (
    "The marking on a part and its maker's instructions win over every figure here. Where they differ, "
    "follow the part. Local rules and a qualified mechanic decide."
)
CARBON = (
    "Carbon: look, tap, and light it up before it is clamped. No grease on clamp faces, paste made for "
    "it; torque wrench, the lowest marking of the joint; never held in the stand by a carbon tube. A "
    "crash of unknown force, a crack, a soft spot or a new creak: stop riding and have it judged by its "
    "maker or a person qualified for it."
)
BRAKES = (
    "Brakes: no oil, grease or bare fingers on pads, rotors or rims. Only the fluid that is marked on "
    "the lever. No lever pulled while a wheel is out. New pads and rotors bite late: bed them in with "
    "twenty firm slowings from walking to easy riding speed before they are relied on."
)
BARS = (
    "Bar, stem, steerer and post hold the rider: look for cracks, scores and corrosion before they are clamped. "
    "Even gaps, no bolt to its torque while the others are loose; then twist, push and pull as hard as a rider would. "
    "What turns is not tightened past its marking: it is cleaned, pasted or changed."
)
BATTERY = (
    "E-bike: switched off, key out and battery out before any work. Only its own charger; no charging "
    "below 0 °C, when wet, dented or hot. A damaged battery is not charged, not opened and not stored "
    "indoors; hot or hissing: leave it and call the fire service."
)

_HOLDS_THE_RIDER = ("cockpit", "seat", "steering")
_MAY_BE_CARBON = ("cockpit", "headset", "seat", "fork", "frame")
_BESIDE_THE_DRIVE = ("crank", "bottom bracket", "rear wheel")


def cautions(bike: Bike) -> tuple[str, ...]:
    """Return the cautions that this bike's parts bring up, the general one first."""
    return cautions_for(features(bike))


def cautions_for(has: Collection[str]) -> tuple[str, ...]:
    """Return the cautions for the words of `features`."""
    found = [MARKING_WINS]
    found += [BRAKES] if {"disc", "rim brake"} & set(has) else []
    found += [CARBON] if "carbon" in has else []
    found += [BATTERY] if "ebike" in has else []
    return tuple(found)


def cautions_at(joint: Joint, has: Collection[str]) -> tuple[str, ...]:
    """Return the cautions that bite at one joint of a bike with these features: bars, brakes, carbon, e-bike drive."""
    found = [BARS] if joint.place in _HOLDS_THE_RIDER and joint.critical == "A" else []
    found += [BRAKES] if joint.place == "brakes" or joint.id.startswith("rotor-") else []
    pasted = joint.prep == "carbon-paste" or "carbon" in joint.name
    found += [CARBON] if pasted or ("carbon" in has and joint.place in _MAY_BE_CARBON) else []
    at_motor = joint.place == "motor" or "motor" in joint.id or bool({"motor", "battery"} & set(joint.parts))
    found += [BATTERY] if at_motor or ("ebike" in has and joint.place in _BESIDE_THE_DRIVE) else []
    return tuple(found)
