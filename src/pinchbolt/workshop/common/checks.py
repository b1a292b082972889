"""Refusals that several use cases share: text that is too long, numbers out of any sense, days in the future."""

from datetime import date, datetime, timedelta
from math import isfinite

from django.utils import timezone

from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def short(text: str, field: str, name: str, most: int = 120, *, needed: bool = False) -> str:
    """Return *text* without outer blanks, if it is not longer than *most* characters."""
    if len(text) > most:
        sentence = worded(
            "{name} has {text} characters: {most} are allowed. Shorten it.",
            name=name,
            text=figure_text(len(text)),
            most=most,
        )
        raise InputRefused(sentence, {field: sentence})
    cleaned = " ".join(text.replace("\x00", "").split())
    if needed and not cleaned:
        sentence = worded("Fill in {first}{rest}.", first=name[:1].lower(), rest=name[1:])
        raise InputRefused(sentence, {field: sentence})
    return cleaned


def number(value: float, field: str, name: str, least: float, greatest: float, unit: str) -> float:
    """Return *value*, if it is finite and within *least* to *greatest*; asks where a slip of the point would explain it."""
    if isfinite(value) and least <= value <= greatest:
        return value
    meant = slip_of_the_point(value, least, greatest)
    ask = (
        worded(" Measure and type it again.")
        if meant is None
        else worded(" Was {meant:g} meant?", meant=meant)
    )
    sentence = worded(
        "{name} is {value:g} {unit}: {least:g} to {greatest:g} {unit} is possible.{ask}",
        name=name,
        value=value,
        unit=unit,
        least=least,
        greatest=greatest,
        ask=ask,
    )
    raise InputRefused(sentence, {field: sentence})


def slip_of_the_point(value: float, least: float, greatest: float) -> float | None:
    """Return what *value* would be with its point one to three places to the left, if that is within the range."""
    if not (isfinite(value) and value > greatest):
        return None
    return next((value / by for by in (10.0, 100.0, 1000.0) if least < value / by <= greatest), None)


def not_in_future(day: date, now: datetime, field: str, name: str) -> date:
    """Return *day*, if it is not after today."""
    today = local_day(now)
    if day > today:
        sentence = worded(
            "{name} is {day:%d %b %Y}: it can't be after today, {today:%d %b %Y}. Correct the day.",
            name=name,
            day=day,
            today=today,
        )
        raise InputRefused(sentence, {field: sentence})
    return day


def sensible_promise(promise: datetime | None, now: datetime) -> datetime | None:
    """Return *promise*, if it lies ahead and within a year."""
    if promise is None:
        return None
    if timezone.is_naive(promise):
        promise = timezone.make_aware(promise)
    if not now - timedelta(minutes=5) <= promise <= now + timedelta(days=366):
        sentence = worded(
            "The promise is {promise:%d %b %Y %H:%M}: it must lie ahead, within a year. Choose another day.",
            promise=promise,
        )
        raise InputRefused(sentence, {"promise": sentence})
    return promise


def local_day(now: datetime) -> date:
    """Return the workshop's calendar day of *now*."""
    return timezone.localtime(now).date() if timezone.is_aware(now) else now.date()
