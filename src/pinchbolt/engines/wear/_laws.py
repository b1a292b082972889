"""From a row of the limits table and the priors to a law; rows without a law (flags, steps, bands) give None."""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Literal, Protocol, cast

from pinchbolt.engines.wear.wear_types import Driver, Stories, WearLaw
from pinchbolt.errors import InputRefused
from pinchbolt.values import JsonRead, Verdict
from pinchbolt.values.units import mm_per_24_pitches
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.reference.rows.measure import LimitRow

USE_CLASSES = ("dry road", "mixed", "mud", "e-bike", "indoor")
DAYS_PER_MONTH = 365.25 / 12
TO_DRIVER = {"months": DAYS_PER_MONTH, "years": 365.25, "days": 1.0, "h": 1.0, "km": 1.0}
CLOCK_SPREAD = 1e-3  # spread of the logarithm of a clock: none, kept above 0 for the grid
EARLY_AT, LATE_WARN, LATE_LIMIT = 11, 0.5, 0.75  # speeds from which the schools differ; late school, percent
MM_PER_PERCENT = mm_per_24_pitches / 100  # over 24 pitches
HUB_PRIOR = "chain-hub"  # chains that are labelled as running on a gear hub or one sprocket
# What stands in the table's `[[belief]]` rows, for a table without them.
USUAL = {
    "tail-share": 0.10,
    "tail-factor": 2.2,
    "hub-share": 0.01,
    "hub-lives": 3.0,
    "run-in": 0.03,
    "run-in-km": 200.0,
    "misread": 0.02,
    "used-here": 0.01,
    "other-here": 0.01,
    "used-told": 0.05,
    "other-told": 0.03,
    "other-used": 0.03,
    "used-mixed": 0.03,
    "other-mixed": 0.02,
    "used-wear": 0.45,
    "used-wear-sd": 0.40,
    "other-wear": 0.60,
    "other-wear-sd": 0.60,
    "rate-ahead": 1.0,
    "rate-ahead-least": 0.19,
}


class LimitLike(Protocol):
    """What is used of a row of the limits table."""

    id: str
    part: str
    quantity: str
    unit: str
    direction: str
    at_limit: Verdict
    safety: bool
    source: str


def _refuse_law(use_class: str, school: str) -> None:
    if use_class not in USE_CLASSES:
        raise InputRefused(
            worded(
                "use class {use_class!r} is not known: it is one of {use_classes}. Pick the nearest.",
                use_class=use_class,
                use_classes=", ".join(USE_CLASSES),
            )
        )
    if school not in ("early", "late"):
        raise InputRefused(
            worded(
                "school {school!r} is not known: it is early or late. Pick one in the settings.",
                school=school,
            )
        )


def law_for(
    limit_row: "LimitRow | LimitLike",
    priors: JsonRead,
    *,
    speeds: int | None,
    use_class: str,
    school: Literal["early", "late"] = "early",
    marked_limit: float | None = None,
) -> WearLaw | None:
    """Return how the part of a limits row wears in this use, or None where the row has no law.

    life to the limit = life in the priors x (limit - new) / (reading at which the prior is counted - new).

    Args:
        limit_row: Row of the limits table. [its own unit]
        priors: The table of wear priors, as read. [its own units]
        speeds: Speeds of the drive; None where it does not matter. [-]
        use_class: dry road, mixed, mud, e-bike or indoor. [-]
        school: When chains of 11 and more speeds are changed: early (0.5 %) or late (0.75 %). [-]
        marked_limit: Limit marked on the part or given by its maker; it wins. [row's unit]

    Returns:
        The law, or None for flags, steps, bands and rows or uses of which no life is known. [row's unit]

    Raises:
        InputRefused: Unknown use class or school, or a marking that is not beyond new.

    Valid for: Rows whose wear only grows; judge the others with `judge_plain`.

    Example:
        >>> from types import SimpleNamespace as Row
        >>> row = Row(id="chain-elongation-9to10", part="chain", quantity="elongation", unit="percent", new=0.03,
        ...           new_spread=0.05, warn=0.5, limit=0.75, direction="up", at_limit=Verdict.NEXT_VISIT,
        ...           safety=False, source="common practice, no source")
        >>> table = {"prior": [{"id": "chain", "covers": ["chain-elongation-9to10"], "driver": "km", "at": 0.75,
        ...                     "median": {"mixed": 3000}, "log_sd": 0.46, "source": "common practice, no source"}]}
        >>> law_for(row, table, speeds=9, use_class="mixed").median_life
        3000.0

    Source: Lives: wear-priors.toml, row by row. Schools: common practice, no source.
    """
    _refuse_law(use_class, school)
    prior = _prior_of(limit_row.id, priors)
    new, limit = getattr(limit_row, "new", None), getattr(limit_row, "limit", None)
    if (
        prior is None
        or new is None
        or not isinstance(limit, int | float)
        or limit_row.direction not in ("up", "down")
    ):
        return None
    warn, end, by = _marks(limit_row, new, limit, speeds, school, marked_limit)
    life = _life(prior, limit_row, new, float(limit), end, use_class)
    if life is None:
        return None
    clock = bool(prior.get("clock", False))
    held = beliefs_of(priors)
    is_chain = limit_row.part == "chain"
    return WearLaw(
        id=limit_row.id,
        part=limit_row.part,
        quantity=limit_row.quantity,
        unit=limit_row.unit,
        new=float(new),
        new_spread=float(getattr(limit_row, "new_spread", None) or 0.0),
        warn=warn,
        limit=end,
        direction=cast(Literal["up", "down"], limit_row.direction),
        driver=cast(Driver, prior["driver"]),
        median_life=life,
        life_log_sd=CLOCK_SPREAD if clock else float(prior["log_sd"]),
        at_limit=Verdict(limit_row.at_limit),
        safety=limit_row.safety,
        source=limit_row.source,
        prior_source=str(prior["source"]),
        prior_row=f"wear-priors/{prior['id']}",
        use_class=use_class,
        limit_by=by,
        part_log_sd=_number(prior, "part_log_sd"),
        noise=0.0 if clock else _number(prior, "noise"),
        slow_sd=0.0 if clock else float(prior.get("slow_sd", 0.15)),
        slow_use=_number(prior, "slow_use"),
        misread=held["misread"],
        clock=clock,
        counted=getattr(limit_row, "instrument", "") == "record" and not clock,
        tail=held["tail-share"],
        tail_factor=held["tail-factor"],
        hub=held["hub-share"] if is_chain and prior["id"] != HUB_PRIOR else 0.0,
        hub_lives=held["hub-lives"],
        run_in=held["run-in"] * (MM_PER_PERCENT if limit_row.unit == "mm" else 1.0) if is_chain else 0.0,
        run_km=held["run-in-km"],
        bend=float(prior.get("bend", 1.0)),
        width=float(prior.get("width", 1.0)),
        stories=_stories(held),
        danger=_danger(limit_row, float(limit), end),
    )


def beliefs_of(priors: JsonRead) -> dict[str, float]:
    """Return what the law takes for granted: the table's `[[belief]]` rows over what is usual."""
    return USUAL | {str(row["id"]): float(row["value"]) for row in priors.get("belief", ())}


def _stories(held: Mapping[str, float]) -> Stories:
    return Stories(
        here=(held["used-here"], held["other-here"]),
        told=(held["used-told"], held["other-told"]),
        used=held["other-used"],
        used_wear=(held["used-wear"], held["used-wear-sd"]),
        other_wear=(held["other-wear"], held["other-wear-sd"]),
    )


def _prior_of(row_id: str, priors: JsonRead) -> JsonRead | None:
    rows: Sequence[JsonRead] = priors["prior"]
    return next((row for row in rows if row_id in row["covers"]), None)


def _number(prior: JsonRead, name: str) -> float | None:
    value = prior.get(name)
    return None if value is None else float(value)


def _marks(
    row: "LimitRow | LimitLike",
    new: float,
    limit: float,
    speeds: int | None,
    school: str,
    marked: float | None,
) -> tuple[float, float, Literal["table", "marking", "policy"]]:
    """Warning and limit after marking and school, and what decided."""
    table_warn = getattr(row, "warn", None)
    warn = float(limit if table_warn is None else table_warn)
    if marked is not None:
        if not isfinite(marked) or (marked - new) * (1 if row.direction == "up" else -1) <= 0:
            raise InputRefused(
                worded(
                    "marked limit of the {part} is {marked:g} {unit} and new is {new:g}: the limit must "
                    "lie beyond new in the sense of wear. Read the marking again, and check which size "
                    "of part this is.",
                    part=row.part,
                    marked=marked,
                    unit=row.unit,
                    new=new,
                )
            )
        return new + (warn - new) * (marked - new) / (limit - new), float(marked), "marking"
    many = speeds is not None and speeds >= EARLY_AT
    if row.id in ("chain-elongation-11", "chain-elongation-12to13") and school == "late":
        return LATE_WARN, LATE_LIMIT, "policy"
    if row.id == "chain-length-12-pitch-pairs" and school == "early" and many:
        return new + 0.4 * MM_PER_PERCENT, new + 0.5 * MM_PER_PERCENT, "policy"
    return warn, float(limit), "table"


def _danger(row: "LimitRow | LimitLike", table_limit: float, limit: float) -> float | None:
    """Where the part is no longer ridden: as far past this limit as it lies past the row's own."""
    figure = getattr(row, "danger", None)
    return None if figure is None else float(figure) + limit - table_limit


def _life(
    prior: JsonRead,
    row: "LimitRow | LimitLike",
    new: float,
    table_limit: float,
    limit: float,
    use_class: str,
) -> float | None:
    """Median life from new to *limit*, in the driver's unit."""
    if prior.get("clock", False):
        return (limit - new) * TO_DRIVER[row.unit]
    median = prior["median"].get(use_class)
    if median is None:
        return None
    counted = float(prior["wear"]) if "wear" in prior else abs(float(prior.get("at", table_limit)) - new)
    return float(median) * abs(limit - new) / counted
