"""What is said beside every plan of turns, and what holds a plan back until it is settled."""

from pinchbolt.engines.wheels import AFTER_A_HIT
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.wheel_hit import LOOKED_AT, NOT_LOOKED_AT
from pinchbolt.workshop.questions.ask_wheel_plan import WheelPlanView
from pinchbolt.workshop.wheels._wheel_records import WheelKnown
from pinchbolt.workshop.wheels.break_spoke import REBUILD_AT

EYES = worded(
    "Glasses on, tyre and tape off before nipples are turned: a spoke end that lets go goes for the eye."
)
ROUNDED = worded("A nipple that is rounded is not tightened any more: replace it.")
MARK = worded(
    "The greatest tension marked on the rim wins over every figure here; where it is not "
    "known, ask its maker."
)
CARBON = worded(
    "Carbon rim: its maker's sheet alone says how tight and how it is trued. A soft or "
    "whitened spot, a lifted edge: it is not trued, it goes."
)
CARBON_WAY = worded(
    "Carbon rim: no order of turns keeps every spoke under its maker's greatest tension "
    "on the way, so no plan is made. Ask its maker how tension is let down."
)
QUALIFIED = worded("A qualified mechanic and local rules decide whether this wheel may be ridden.")


def hold_back(known: WheelKnown, broken: int) -> str:
    """Return why no nipple is turned yet; "" where nothing stands against it."""
    if known.hit == NOT_LOOKED_AT:
        return worded(
            "This wheel was hit. {after_a_hit} Look, then say so under what was measured.",
            after_a_hit=AFTER_A_HIT,
        )
    if known.carbon and known.limits.greatest_n is None:
        return worded(
            "Carbon rim without its maker's greatest tension: no plan is made. Read it off the "
            "rim or its sheet, and write it down."
        )
    if broken >= REBUILD_AT:
        return worded(
            "{broken} spokes of this wheel broke: rebuild it with new spokes. The others are as "
            "tired, and truing it keeps it no longer.",
            broken=broken,
        )
    return ""


def wheel_cautions(known: WheelKnown | None, plan: WheelPlanView | None, broken: int) -> tuple[str, ...]:
    """Return the cautions of a wheel, those of its own first."""
    own = []
    if known is not None and known.carbon:
        own.append(CARBON)
    if known is not None and known.hit == LOOKED_AT:
        own.append(worded("It was hit, and looked at: no crack was found. Look once more when it is true."))
    if 0 < broken < REBUILD_AT:
        own.append(
            worded(
                "{broken} spoke{s} broke on this wheel: at the third it is rebuilt.",
                broken=broken,
                s="" if broken == 1 else "s",
            )
        )
    usual = plan.cautions if plan is not None else ()
    said = (*own, *usual, EYES, ROUNDED, AFTER_A_HIT, MARK)
    # The plan's own sentences say the same at greater length.
    kept = [one for one in said if not (usual and one in (EYES, ROUNDED, AFTER_A_HIT, MARK))]
    return (*dict.fromkeys(kept), QUALIFIED)
