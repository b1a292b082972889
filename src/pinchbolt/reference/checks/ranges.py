"""Ranges in order: least under greatest, warning before limit in the sense in which the part wears."""

from collections.abc import Iterator

from pinchbolt.reference.checks.complaint import Complaint, at_least, in_order
from pinchbolt.reference.read import shown
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.brakes import RotorSize
from pinchbolt.reference.rows.build import Template
from pinchbolt.reference.rows.joints import JointCase, JointRow
from pinchbolt.reference.rows.measure import InstrumentRow, LimitRow
from pinchbolt.reference.rows.tools import ToolRow, TorqueClass, TorqueTool
from pinchbolt.reference.rows.wheels import MeasuringRim, TyreOnHookedRim, TyreOnHooklessRim
from pinchbolt.reference.rows.work import ExtraMinutes, Operation
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded

UNITS = frozenset({
    "Hz", "N", "N m", "bar", "chains", "count", "degrees", "h", "km", "mm", "mm at the axle",
    "mm at the big sprocket rim", "mm at the pedal eye", "mm at the rim", "mm at the saddle nose", "months", "percent",
    "percent of new", "percent of stroke", "percent of travel", "ratio to new", "share of target",
    "share of the lower maximum", "step 0-3", "strands broken", "years", "yes/no",
})  # fmt: skip
STEPS = 4
FEWEST_SPEEDS, MOST_SPEEDS = 1, 14


def ranges(tables: Tables) -> Iterator[Complaint]:
    """Every range that is not in order, every figure outside what it can be."""
    for limit in tables.limits.values():
        yield from _limit(limit)
    for joint in tables.joints.values():
        yield from _joint(joint)
    for case in tables.joint_cases.values():
        yield from _figures(case)
    for instrument in tables.instruments.values():
        yield from _instrument(instrument)
    for tool in tables.tools.values():
        yield from _tool(tool)
    for socket in tables.sockets.values():
        yield from in_order(socket, "min", "max", unit="mm")
    for torque_class in tables.torque_classes.values():
        yield from _torque_class(torque_class)
    for torque_tool in tables.torque_tools.values():
        yield from _torque_tool(torque_tool)
    for operation in tables.operations.values():
        yield from _operation(operation)
    for extra in tables.extras.values():
        yield from _extra(extra)
    for template in tables.templates.values():
        yield from _template(template)
    yield from _single_figures(tables)
    yield from _rims(tables)
    yield from _sources(tables)


def _limit(row: LimitRow) -> Iterator[Complaint]:
    if row.unit not in UNITS:
        yield Complaint(
            row,
            "unit",
            worded('is "{unit}"', unit=row.unit),
            worded("one of {units}", units=", ".join(sorted(UNITS))),
        )
    wanted = STEPS if row.unit == "step 0-3" else 0
    if len(row.steps) != wanted:
        allowed = (
            worded("words for {wanted} steps, from new to worst", wanted=wanted)
            if wanted
            else worded("nothing, as its unit has no steps")
        )
        yield Complaint(row, "steps", worded("holds {steps}", steps=len(row.steps)), allowed)
    for field in ("sd", "new_spread"):
        yield from at_least(row, field, 0)
    yield from _danger(row)
    if row.direction == "flag":
        if row.limit not in ("yes", "no"):
            yield Complaint(row, "limit", _is(row.limit), worded('the bad answer, "yes" or "no"'))
        return
    if isinstance(row.limit, str):
        yield Complaint(
            row, "limit", worded('is "{limit}"', limit=row.limit), worded("a number in {unit}", unit=row.unit)
        )
    elif row.direction == "band":
        yield from _band(row)
    elif row.limit is None or row.warn is None:
        missing = "limit" if row.limit is None else "warn"
        yield Complaint(row, missing, worded("is missing"), worded("a number in {unit}", unit=row.unit))
    else:
        order = ("new", "warn", "limit", "danger")
        yield from in_order(row, *(order if row.direction == "up" else reversed(order)), unit=row.unit)


def _danger(row: LimitRow) -> Iterator[Complaint]:
    """A third figure stands where its row can use it, and says how it is known."""
    ends = [name for name in ("danger_low", "danger_high") if getattr(row, name) is not None]
    given = (["danger"] if row.danger is not None else []) + ends
    if given and row.direction == "flag":
        yield Complaint(
            row,
            given[0],
            worded("is given"),
            worded("nothing: a yes or no is unsafe by at_limit, or has a row of its own"),
        )
    elif row.danger is not None and row.direction == "band":
        yield Complaint(
            row, "danger", worded("is given"), worded("danger_low and danger_high, as the row is a band")
        )
    elif ends and row.direction != "band":
        yield Complaint(row, ends[0], worded("is given"), worded("danger, as the row is no band"))
    elif ends and row.limit_low is None:
        yield Complaint(
            row, ends[0], worded("is given"), worded("nothing, or the four ends of the band as well")
        )
    if bool(given) != bool(row.danger_source):
        wrong, allowed = (
            (worded("is empty"), worded("how that is known"))
            if given
            else (worded("is given"), worded("nothing, as there is no figure"))
        )
        yield Complaint(row, "danger_source", wrong, allowed)
    if given and row.at_limit is Verdict.UNSAFE:
        yield Complaint(
            row, given[0], worded("is given"), worded("nothing, as the row is unsafe at its limit")
        )


def _band(row: LimitRow) -> Iterator[Complaint]:
    ends = (row.limit_low, row.warn_low, row.warn_high, row.limit_high)
    if row.new is None:
        yield Complaint(
            row,
            "new",
            worded("is missing"),
            worded("a number in {unit}, the middle of the band", unit=row.unit),
        )
    if all(end is None for end in ends):
        if row.warn is None or row.limit is None:
            yield Complaint(
                row,
                "limit",
                worded("is missing"),
                worded("warn and limit as half-widths, or the four ends of the band"),
            )
        yield from at_least(row, "warn", 0)
        yield from in_order(row, "warn", "limit", unit=row.unit)
    elif any(end is None for end in ends):
        yield Complaint(
            row,
            "limit_low",
            worded("has no partner"),
            worded("all of limit_low, warn_low, warn_high and limit_high"),
        )
    else:
        order = ("danger_low", "limit_low", "warn_low", "new", "warn_high", "limit_high", "danger_high")
        yield from in_order(row, *order, unit=row.unit)


def _is(value: object) -> str:
    return worded("is missing") if value is None else worded("is {shown}", shown=shown(value))


def _speeds(row: Row, speeds: tuple[int, ...]) -> Iterator[Complaint]:
    for count in speeds:
        if not FEWEST_SPEEDS <= count <= MOST_SPEEDS:
            yield Complaint(
                row,
                "speeds",
                worded("holds {count}", count=count),
                worded(
                    "{fewest_speeds} to {most_speeds}", fewest_speeds=FEWEST_SPEEDS, most_speeds=MOST_SPEEDS
                ),
            )


def _figures(row: JointRow | JointCase) -> Iterator[Complaint]:
    yield from at_least(row, "low", 0, open_end=True)
    yield from in_order(row, "low", "typical", "high", unit="N m")


def _joint(row: JointRow) -> Iterator[Complaint]:
    yield from _figures(row)
    yield from at_least(row, "count", 1)
    yield from at_least(row, "recheck", 0)
    yield from at_least(row, "first_km", 1)
    if not row.parts:
        yield Complaint(
            row, "parts", worded("is empty"), worded("the parts that the joint clamps, one at least")
        )


def _instrument(row: InstrumentRow) -> Iterator[Complaint]:
    if row.unit and row.unit not in UNITS:
        yield Complaint(
            row,
            "unit",
            worded('is "{unit}"', unit=row.unit),
            worded("one of {units}", units=", ".join(sorted(UNITS))),
        )
    for field in ("sd", "bias_sd", "resolution", "mpe"):
        yield from at_least(row, field, 0)


def _tool(row: ToolRow) -> Iterator[Complaint]:
    yield from in_order(row, "size_min", "size_max", unit="mm")
    yield from at_least(row, "grams", 1)
    yield from at_least(row, "proof", 0, open_end=True)
    if row.size_min is not None:
        yield from in_order(row, "worn_at", "size_min", unit="mm")


def _torque_class(row: TorqueClass) -> Iterator[Complaint]:
    split = (row.deviation_to_10, row.deviation_over_10)
    whole = row.deviation is not None and split == (None, None)
    if not whole and (row.deviation is not None or None in split):
        wrong = worded("stands alone") if row.deviation is None else worded("stands beside others")
        yield Complaint(
            row,
            "deviation",
            wrong,
            worded("deviation alone, or deviation_to_10 and deviation_over_10 together"),
        )
    for field in ("deviation", "deviation_to_10", "deviation_over_10"):
        value = getattr(row, field)
        if value is not None and not 0 < value < 1:
            yield Complaint(
                row, field, worded("is {value:g}", value=value), worded("above 0 and under 1; 4 % is 0.04")
            )


def _torque_tool(row: TorqueTool) -> Iterator[Complaint]:
    least, greatest = row.range
    if not 0 < least <= greatest:
        yield Complaint(
            row,
            "range",
            worded("is {least:g} to {greatest:g} N m", least=least, greatest=greatest),
            worded("a least above 0, then a greatest not under it"),
        )
    for value in row.steps:
        if not least <= value <= greatest:
            yield Complaint(
                row,
                "steps",
                worded("holds {value:g} N m", value=value),
                worded("settings from {least:g} to {greatest:g} N m", least=least, greatest=greatest),
            )
    yield from at_least(row, "step", 0, open_end=True)


def _operation(row: Operation) -> Iterator[Complaint]:
    low, usual, high = row.minutes
    if not 0 < low <= usual <= high:
        yield Complaint(
            row,
            "minutes",
            worded("is {low}, {usual}, {high}", low=low, usual=usual, high=high),
            worded("low, usual and high minutes, rising, above 0"),
        )


def _extra(row: ExtraMinutes) -> Iterator[Complaint]:
    low, usual, high = row.minutes
    if not 0 <= low <= usual <= high or high == 0:
        yield Complaint(
            row,
            "minutes",
            worded("is {low}, {usual}, {high}", low=low, usual=usual, high=high),
            worded("low, usual and high minutes, rising, from 0 on"),
        )
    if not row.when and not row.end:
        yield Complaint(row, "when", worded("is empty"), worded("the bikes that it is for, or an end"))


def _template(row: Template) -> Iterator[Complaint]:
    yield from _speeds(row, row.speeds)
    if not row.speeds:
        yield Complaint(
            row, "speeds", worded("is empty"), worded("one speed count at least, the most usual first")
        )
    yield from at_least(row, "km_a_week", 0, open_end=True)


def _single_figures(tables: Tables) -> Iterator[Complaint]:
    for thread in tables.threads.values():
        for field in ("d", "pitch", "stress_area"):
            yield from at_least(thread, field, 0, open_end=True)
    for property_class in tables.property_classes.values():
        yield from at_least(property_class, "proof", 0, open_end=True)
    for factor in tables.nut_factors.values():
        yield from at_least(factor, "k", 0, open_end=True)
        yield from at_least(factor, "spread", 0)
    for block in tables.blocks.values():
        yield from at_least(block, "minutes", 0)


def _rims(tables: Tables) -> Iterator[Complaint]:
    for row in (*tables.interface(TyreOnHookedRim), *tables.interface(TyreOnHooklessRim)):
        yield from in_order(row, "tyre_min", "tyre_max", unit="mm")
        yield from in_order(row, "inner", "tyre_max", unit="mm")
    last = 0
    for rim in sorted(tables.interface(MeasuringRim), key=lambda row: row.section):
        least, greatest = rim.section
        if not last < least <= greatest:
            yield Complaint(
                rim,
                "section",
                worded("is {least} to {greatest} mm", least=least, greatest=greatest),
                worded("rising, and beside the other rows"),
            )
        last = greatest
    for sizes in tables.interface(RotorSize):
        if list(sizes.diameters) != sorted(sizes.diameters):
            yield Complaint(sizes, "diameters", worded("is out of order"), worded("rising diameters"))


def _sources(tables: Tables) -> Iterator[Complaint]:
    for row in tables.all_rows():
        if not row.source.strip():
            yield Complaint(
                row,
                "source",
                worded("is empty"),
                worded("a source, 'common practice, no source' or 'from memory'"),
            )
        for field in row.key:
            value = getattr(row, field)
            if isinstance(value, str) and (not value or value != value.strip()):
                yield Complaint(
                    row,
                    field,
                    worded('is "{value}"', value=value),
                    worded("a name with no space before or behind it"),
                )
