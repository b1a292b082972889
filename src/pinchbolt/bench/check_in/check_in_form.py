"""What is asked when a bike comes in."""

from datetime import date, datetime, time
from typing import Any

from django import forms
from django.utils import timezone

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.day_told import day_told
from pinchbolt.bench.fields import Figure, Money, Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.check_in import CheckInRequest, ask_who

_NO_DAY = worded("A day is needed here. Choose it in the calendar, or leave it empty.")


class CheckInForm(BenchForm):
    """A known bike by its tag, a new one by its build template, or one begun from nothing by its kind."""

    tag = Picked("tag")
    template = Picked("build")
    bike_kind = Picked(worded("kind of bike"))
    owner_of = Picked(worded("a bike of the same owner"))
    owner = Whole(worded("owner"), "owners")
    same_as = Picked(worded("the same person"))
    owner_name = Words(worded("owner's name"))
    owner_phone = Words(worded("phone"))
    owner_reach = Words(worded("best way to reach the owner"))
    bike_words = Words(worded("describe the bike"))
    frame_number = Words(worded("frame number"))
    speeds = Whole(worded("rear sprockets"), "sprockets")
    use_class = Picked("ridden")
    owner_words = Words(worded("what the owner says"), rows=3)
    seen_words = Words(worded("scratches and dents"), rows=2)
    left_with = Words(worded("left with the bike"))
    spend_limit = Money(worded("may spend without a call"))
    promise_day = Picked(worded("promised for"))
    promise_other = Picked(worded("another day"))
    promise_hour = Picked("by")
    distance_km = Figure(worded("km since last time"), "km")
    km_a_week = Figure(worded("a usual week"), "km")
    odometer_km = Figure(worded("its odometer shows"), "km")
    since = Picked(worded("its parts are on it"))
    on_since = forms.DateField(label=worded("new on"), required=False, error_messages={"invalid": _NO_DAY})
    chain_since = forms.DateField(
        label=worded("last chain on"), required=False, error_messages={"invalid": _NO_DAY}
    )

    def __init__(self, data: Any = None, new: str = "") -> None:
        """`new` is what was looked for and is nobody's: figures are a phone, all else a name."""
        super().__init__(data)
        self.initial = {"owner_name" if any(one.isalpha() for one in new) else "owner_phone": new}

    def asked(self) -> CheckInRequest:
        """Return the request for the use case.

        Raises:
            InputRefused: A figure or the day of the promise can't be read.
        """
        values = self.checked()
        day, other, hour = (values.pop(name) for name in ("promise_day", "promise_other", "promise_hour"))
        # A day with its odds is one of the days that can be tapped: it is sent with its hour.
        promise, odds = day_told(day) if "T" in day else (_promise(day, other, hour), None)
        since = values.pop("since")
        if since == "new" and values["on_since"] is None:
            raise InputRefused(_NO_DAY, {"on_since": _NO_DAY})
        values["on_since"] = values["on_since"] if since == "new" else None
        told = self.data.getlist("complaints") if hasattr(self.data, "getlist") else ()
        same_as = values.pop("same_as")
        if same_as.isdecimal():
            values["owner"] = int(same_as[:12])
        asked = CheckInRequest(
            **values,
            another_person=same_as == "another",
            promise=promise,
            promise_odds=odds,
            all_along=since == "all along",
            complaints=tuple(one[:60] for one in told),
        )
        ask_who(asked, self.key)
        return asked


def _promise(day: str, other: str, hour: str) -> datetime | None:
    """Return the promised moment in the workshop's own time; no day is no promise."""
    chosen = other if day in ("", "other") else day
    if not chosen or day == "none":
        return None
    try:
        moment = datetime.combine(date.fromisoformat(chosen), time.fromisoformat(hour or "17:00"))
    except ValueError as error:
        sentence = worded('Pick a day and an hour, or "no day promised".')
        raise InputRefused(sentence, {"promise_day": sentence}) from error
    return timezone.make_aware(moment) if timezone.is_naive(moment) else moment
