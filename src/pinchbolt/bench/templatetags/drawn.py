"""Drawings on a page: the wear rule of a finding and the window of a joint, once for a tablet and once for a phone."""

from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache, partial

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from pinchbolt.drawing import (
    GearAt,
    ReadAt,
    RingRow,
    SpokeMark,
    Spot,
    bike_drawing,
    bolt_order,
    gears_drawing,
    lacing_drawing,
    life_line,
    torque_window,
    wear_rule,
    wheel_drawing,
)
from pinchbolt.engines.gearing import Gears
from pinchbolt.values.money import with_figures
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import guess_of_shop, money_of_shop
from pinchbolt.workshop.bikes.drawn_bike import shape_of
from pinchbolt.workshop.leaving.bike_sheet import PartView
from pinchbolt.workshop.stays.note_finding import FindingView
from pinchbolt.workshop.torque.torque_sheet import JointView
from pinchbolt.workshop.wear.kept_forecast import KeptForecast
from pinchbolt.workshop.wheels.wheel_sheet import WheelSheetView

register = template.Library()
_WIDE, _NARROW = 640.0, 330.0
# A drawing hangs on nothing but what is drawn, and is some 10 kB: those of the bikes that are worked on. Own choice.
_KEPT = 256


@register.simple_tag
def rule_of(finding: FindingView) -> SafeString:
    """The wear rule of a finding; nothing where the finding has no forecast."""
    return _rule(finding.forecast, finding.title) if finding.forecast else SafeString("")


@with_figures
@lru_cache(_KEPT)
def _rule(forecast: KeptForecast, title: str) -> SafeString:
    drawn = partial(wear_rule, forecast, words=False)
    return _both(
        drawn(title=title, width=_WIDE, size=15.0),
        drawn(title=worded("{title}, narrow", title=title), width=_NARROW, size=13.0),
    )


@register.simple_tag
def life_of(part: PartView, finding: FindingView) -> SafeString:
    """The life line of a part by one of its last findings; nothing where the finding has no forecast."""
    if not finding.forecast:
        return SafeString("")
    read = tuple(ReadAt(one.day, one.low, one.high) for one in part.read if one.limit == finding.limit)
    return _life(
        finding.forecast,
        read,
        part.since,
        part.since_known,
        worded("life of the {title}", title=finding.title),
    )


@with_figures
@lru_cache(_KEPT)
def _life(
    forecast: KeptForecast, read: tuple[ReadAt, ...], fitted: date, fitted_known: bool, title: str
) -> SafeString:
    drawn = partial(life_line, forecast, read, fitted=fitted, fitted_known=fitted_known)
    return _both(
        drawn(title=title, width=_WIDE, size=15.0),
        drawn(title=worded("{title}, narrow", title=title), width=_NARROW, size=13.0),
    )


@register.simple_tag
def window_of(joint: JointView) -> SafeString:
    """The window of a joint with its setting and done value; nothing where no window is known."""
    if joint.window is None:
        return SafeString("")
    setting = joint.setting
    drawn = partial(
        torque_window,
        floor=joint.window.floor,
        cap=joint.window.cap,
        lowest=setting.lowest if setting else None,
        highest=setting.highest if setting else None,
        set_at=joint.set_then or (setting.set if setting else None),
        gets=(setting.applies.low, setting.applies.high) if setting else None,
        done=joint.done.done if joint.done else None,
        words=False,
    )
    return _both(
        drawn(title=joint.name, width=_WIDE, size=15.0),
        drawn(title=worded("{name}, narrow", name=joint.name), width=_NARROW, size=13.0),
    )


@register.simple_tag
def bolts_of(joint: JointView) -> SafeString:
    """The order and the passes in which the bolts of a joint are drawn down; nothing where they have none."""
    if not joint.in_order:
        return SafeString("")
    return SafeString(
        bolt_order(
            joint.count, passes=joint.passes, title=worded("{name}: order of its bolts", name=joint.name)
        )
    )


@register.simple_tag
def gears_drawn(now: Gears | None, after: Gears | None = None) -> SafeString:
    """The gears of a drive, and those after a swap below them; nothing where they are not known."""
    if now is None:
        return SafeString("")
    told = [("now" if after else "", now), *([("after", after)] if after else [])]
    rows = [row for when, drive in told for row in _ring_rows(drive, when)]
    title = worded("the gears now and after the swap") if after else worded("the gears")
    return _both(
        gears_drawing(rows, title=title, width=_WIDE, size=15.0),
        gears_drawing(rows, title=worded("{title}, narrow", title=title), width=_NARROW, size=13.0),
    )


@register.simple_tag
def wheel_of(seen: WheelSheetView) -> SafeString:
    """A wheel with its spokes as long as they are tight, and what is to be turned."""
    marks = [
        SpokeMark(one.side == "right", one.read.share if one.read else None, one.to_turn, one.turned)
        for one in seen.spokes
    ]
    spread = seen.known.limits.spread_percent / 100 if seen.known else 0.2
    return _both(
        wheel_drawing(marks, title=f"{seen.name}, {seen.tag}", spread=spread, width=_WIDE * 0.85, size=15.0),
        wheel_drawing(
            marks,
            title=worded("{name}, {tag}, narrow", name=seen.name, tag=seen.tag),
            spread=spread,
            width=_NARROW,
            size=11.0,
        ),
    )


@register.simple_tag
def lacing_of(spokes: int, crossings: int, stage: int) -> SafeString:
    """How far a wheel is laced at a stage."""
    # The drawing escapes every word that it is given.
    return mark_safe(
        lacing_drawing(
            spokes,
            crossings,
            stage=stage,
            title=worded("set {stage} of the spokes", stage=stage),
            width=_NARROW,
        )
    )


def _ring_rows(drive: Gears, when: str) -> list[RingRow]:
    """A row a ring, the biggest first."""
    rings = sorted({gear.ring for gear in drive.gears}, reverse=True)
    return [
        RingRow(
            ring,
            tuple(
                GearAt(one.position or one.sprocket, one.development_m, one.crossed)
                for one in drive.gears
                if one.ring == ring
            ),
            when,
        )
        for ring in rings
    ]


@register.simple_tag
def bike_with_places(kind: str, pieces: Collection[str], spots: Collection[Spot]) -> SafeString:
    """The bike with a label at each place of the walk-round; each label is a place to tap."""
    return mark_safe(bike_drawing(shape_of(kind), pieces, tuple(spots), labelled=True))


@register.simple_tag
def bare_bike(kind: str, pieces: Collection[str], spots: Collection[Spot]) -> SafeString:
    """The bike alone, small, with the marks of its verdicts and a ring round the place that is open."""
    return mark_safe(
        bike_drawing(shape_of(kind), pieces, tuple(spots)).replace(
            "<svg ", '<svg aria-hidden="true" focusable="false" ', 1
        )
    )


def _both(wide: str, narrow: str) -> SafeString:
    # The drawings escape every word that they are given.
    return format_html(
        '<div class="drawn-wide">{}</div><div class="drawn-narrow">{}</div>',
        mark_safe(wide),
        mark_safe(narrow),
    )


@register.simple_tag
def in_place(address: str) -> SafeString:
    """Attributes of a form whose page stays where it is: sent by itself where scripts run, as a plain form where not."""
    return format_html(
        'method="post" action="{0}" hx-post="{0}" hx-target="#main" hx-select="#main" hx-swap="outerHTML show:none"',
        address,
    )


@register.simple_tag
def money(amount: Decimal | None, currency: str = "") -> str:
    """An amount of money as it is printed."""
    return money_of_shop(amount, currency)


@register.simple_tag
def guess(amount: Decimal, currency: str = "") -> str:
    """An amount of money that is a guess: to the next five."""
    return guess_of_shop(amount, currency)


@register.filter
def n_m(value: float | None) -> str:
    """A torque with the decimals that a tool shows."""
    return "" if value is None else f"{value:.2f}".rstrip("0").rstrip(".")


@register.filter
def get(found: Mapping[str, object], name: object) -> object:
    """The entry of a mapping under a name."""
    return found.get(str(name), "")
