"""Cautions, printed where they bite: by what is on the bike. Common practice, no source; the makers' word wins."""

from collections.abc import Collection

from pinchbolt.records.models import Bike
from pinchbolt.workshop.sign_off import features

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
BATTERY = (
    "E-bike: switched off, key out and battery out before any work. Only its own charger; no charging "
    "below 0 °C, when wet, dented or hot. A damaged battery is not charged, not opened and not stored "
    "indoors; hot or hissing: leave it and call the fire service."
)


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
