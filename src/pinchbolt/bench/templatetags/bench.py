"""Tags and filters of the bench: request mark, verdict, keypad, days as people say them."""

import json
from collections.abc import Collection, Sequence
from datetime import UTC, date, datetime
from functools import lru_cache
from urllib.parse import urlencode
from uuid import uuid4

from django import template
from django.forms import BoundField
from django.template import Context
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from pinchbolt.bench.fields import OneOf
from pinchbolt.bench.way import next_href
from pinchbolt.drawing import bike_drawing, stand_drawing, verdict_mark
from pinchbolt.reference.rows.build import Template
from pinchbolt.values import Verdict
from pinchbolt.values.about import unit_words
from pinchbolt.values.ahead import odds_words, sure_words
from pinchbolt.values.money import figure_text, with_figures
from pinchbolt.values.tool_words import any_of, tool_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.drawn_bike import pieces_of_template, shape_of
from pinchbolt.workshop.common.table_words import code_in_words
from pinchbolt.workshop.leaving.bike_sheet import BikeView
from pinchbolt.workshop.leaving.shop_day import JobView
from pinchbolt.workshop.proof.facts_by_photo import facts_by_photo
from pinchbolt.workshop.proof.open_claim import DROPPED, ClaimView
from pinchbolt.workshop.stays.walk_round import OtherUnit

register = template.Library()
# Keypads and verdicts that are shown again and again, of some kB each. Own choice.
_DRAWN = 500
register.filter("next_href", next_href)


@register.simple_tag
def request_mark() -> SafeString:
    """A mark for one act, so that a double tap or a second try is the same act."""
    return format_html('<input type="hidden" name="key" value="{}">', uuid4().hex)


@register.simple_tag(takes_context=True)
def waits(context: Context, address: str, kind: str) -> str:
    """The address of an act that may wait on the tablet for signal: what it is, whose it is, of which job.

    The computer of the workshop reads none of it; the tablet's worker does.
    """
    top, person = context.get("top"), context.get("person")
    about: dict[str, object] = {"waits": kind, "by": getattr(person, "pk", None) or 0}
    if top is not None:
        about |= {"job": top.seen.job, "tag": top.seen.tag}
    return f"{address}?{urlencode(about)}"


@register.simple_tag
@lru_cache(_DRAWN, typed=True)
def verdict(words: str, big: bool = False) -> SafeString:
    """A verdict's word with its mark."""
    told: dict[str, object] = {"words": words, "mark": "", "big": big}
    if words in list(Verdict):
        told["mark"] = mark_safe(verdict_mark(words, ink="currentColor"))
        told["name"] = Verdict(words).name.lower().replace("_", "-")
    return render_to_string("_verdict.html", told)


@register.simple_tag
def stand(job: JobView | None = None) -> SafeString:
    """A drawn stand, with the bike of a job on it or empty."""
    return mark_safe(stand_drawing(shape_of(job.kind), job.pieces) if job else stand_drawing())


@register.simple_tag
def bike_picture(kind: str, pieces: Collection[str]) -> SafeString:
    """A drawn bike of this kind, with these pieces."""
    return mark_safe(bike_drawing(shape_of(kind), pieces))


@register.simple_tag
def bike_of(seen: BikeView) -> SafeString:
    """A drawn bike as its build sheet says."""
    return mark_safe(bike_drawing(shape_of(seen.kind), seen.pieces))


@register.simple_tag
def build_picture(build: Template) -> SafeString:
    """A drawn bike of a build template."""
    return mark_safe(bike_drawing(shape_of(build.kind), pieces_of_template(build)))


@register.simple_tag
@with_figures
@lru_cache(_DRAWN, typed=True)
def keypad(
    name: str, label: str, unit: str = "", *, low: float | None = None, high: float | None = None, value: object = "",
    sentence: str = "", secret: bool = False, words: str = "take it", others: tuple[OtherUnit, ...] = (),
) -> SafeString:  # fmt: skip
    """A keypad for one figure that knows its usual range *low* to *high* in *unit*, and the units that a slip may be in."""
    return render_to_string("_keypad.html", {
        "name": name, "label": label, "unit": unit_words(unit), "low": low, "high": high, "value": "" if value is None else value,
        "sentence": sentence, "secret": secret, "words": words,
        "others": json.dumps([[one.words, one.factor, one.offset] for one in others]) if others else "", "rows": ("789", "456", "123"),
    })  # fmt: skip


@register.filter
def buttons_of(field: BoundField) -> Sequence[tuple[str, str]] | None:
    """The big buttons of a field, (value, words) each; None of one that is typed."""
    return field.field.choices if isinstance(field.field, OneOf) else None


@register.filter
def day_words(when: date | datetime | None) -> str:
    """Today, tomorrow, a weekday within the week, else day and month; with the hour where one is given."""
    if when is None:
        return ""
    local = timezone.localtime(when) if isinstance(when, datetime) else None
    day = local.date() if local else when
    assert isinstance(day, date)
    hour = f" {local:%H:%M}" if local and (local.hour or local.minute) else ""
    return day_name(day, timezone.localdate()) + hour


def of_moment(iso: str) -> str:
    """A moment as a copy of the book keeps it, in UTC, as people here say it."""
    return day_words(datetime.fromisoformat(iso).replace(tzinfo=UTC)) if iso else worded("nothing")


def day_name(day: date, today: date) -> str:
    """Return how *day* is called on *today*."""
    away = (day - today).days
    near = {0: worded("today"), 1: worded("tomorrow"), -1: worded("yesterday")}
    if away in near:
        return near[away]
    if 1 < away < 7:
        return f"{day:%A}"
    return f"{day:%a} {day.day} {day:%b}" + (f" {day.year}" if day.year != today.year else "")


register.filter("any_of", any_of)
register.filter("tool_words", tool_words)


@register.inclusion_tag("marking_photo/_by_photo.html")
def by_photo(tag: str) -> dict[str, object]:
    """What is known of a bike by markings whose photo is kept."""
    return {"marked": facts_by_photo(str(tag or ""))}


@register.simple_tag
def claimed(claims: Sequence[ClaimView], kind: str, number: int, checked: str) -> str:
    """Why a tool or a gauge is off the board: its claim, else its last check."""
    own = next(
        (one for one in claims if (one.kind, one.thing) == (kind, number) and one.state != DROPPED), None
    )
    return (
        worded("off the board, claim {id}: {broke}", id=own.id, broke=own.broke)
        if own
        else worded("off the board: {checked}", checked=checked)
    )


@register.filter
def sure(chance: float) -> str:
    """A chance as people hear it."""
    return sure_words(chance)


@register.filter
def figure(value: float | None, places: int = 0) -> str:
    """A number with thousands set apart."""
    return "" if value is None else figure_text(value, places)


@register.filter
def spoken(value: object) -> str:
    """A fact's name or value without its underlines; yes and no in words, a figure with the decimals that it has."""
    if isinstance(value, bool):
        return worded("yes") if value else worded("no")
    if isinstance(value, float):
        return as_is(value)
    return str(value).replace("_", " ")


@register.simple_tag
def fact_value(name: str, value: object) -> SafeString:
    """A fact's value as people say it; of a code its words, and the code small behind them."""
    plain = code_in_words(name, value)
    return (
        format_html('{} <span class="note">{}</span>', plain, value)
        if plain
        else format_html("{}", spoken(value))
    )


@register.simple_tag
def fact_plain(name: str, value: object) -> str:
    """A fact's value as people say it, without its code."""
    return code_in_words(name, value) or spoken(value)


@register.filter
def in_ten(percent: int) -> str:
    """Odds of 100 as they are said everywhere: so many in ten."""
    return odds_words(percent / 100)


@register.filter
def words_of(text: str) -> list[str]:
    """The words of a list that a page itself writes down."""
    return text.split()


@register.filter
def fact_words(name: str) -> str:
    """A fact's name without its underlines, its unit set apart."""
    words = str(name).split("_")
    unit = f" ({words[-1]})" if len(words) > 1 and words[-1] in ("mm", "km", "bar") else ""
    return " ".join(words[:-1] if unit else words) + unit


@register.filter
def in_unit(unit: str) -> str:
    """A unit as it stands beside a figure."""
    return unit_words(unit)


@register.filter
def percent(share: float | None) -> str:
    """A share in percent, with the decimals that it has."""
    return "" if share is None else f"{share * 100:.2f}".rstrip("0").rstrip(".") + " %"


@register.filter
def percent_off(share: float) -> str:
    """By how much of the truth something reads high or low, in words."""
    if abs(share) < 0.00005:
        return worded("reads true")
    return worded(
        "reads {share} {which_way}",
        share=percent(abs(share)),
        which_way=worded("high") if share > 0 else worded("low"),
    )


@register.filter
def as_is(value: float) -> str:
    """A number with the decimals that it has."""
    return f"{value:g}"


@register.filter
def signed(value: float) -> str:
    """A number with its sign, a true minus."""
    return f"{value:+g}".replace("-", "\u2212")
