"""What the kept forecasts of bikes that are not here say of the days ahead: whoever plans orders and visits asks here."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.engines.wear import chance_by
from pinchbolt.records.models import Finding, Fitting, Part
from pinchbolt.values import Json
from pinchbolt.workshop.wear.kept_forecast import kept_forecast

# Whoever was not here for two years rides elsewhere. Common practice, no source.
LOOKED_BACK = timedelta(days=730)


@dataclass(frozen=True, slots=True)
class PartAhead:
    """A part on a bike and the chances that it is past its limit after each of the days that were asked."""

    bike: int
    tag: str
    part: Part
    words: str
    safety: bool
    chances: tuple[float, ...]


def parts_ahead(
    bikes: Collection[int], now: datetime, today: date, days: Sequence[float]
) -> tuple[PartAhead, ...]:
    """Return the newest forecast of each part that is still on its bike, as chances by each of *days* from today.

    What will hardly be past by the last of them is left out before it is read closely: a book may hold fifty thousand bikes.
    """
    rows = (
        Finding.objects.filter(
            event__corrected_by__isnull=True,
            event__at__gte=now - LOOKED_BACK,
            forecast__isnull=False,
            part__isnull=False,
        )
        .order_by("pk")
        .values("part", "limit", "job__bike", "job__bike__tag", "safety", "forecast")
    )
    wanted = set(bikes)
    newest = {(row["part"], row["limit"]): row for row in rows.iterator() if row["job__bike"] in wanted}
    soon = [row for row in newest.values() if _may_be_soon(row["forecast"], today, max(days))]
    on = set(
        Fitting.objects.filter(part__in={row["part"] for row in soon}, end__isnull=True).values_list(
            "part", flat=True
        )
    )
    parts = Part.objects.in_bulk(on)
    found = []
    for row in soon:
        if row["part"] in parts and (chances := _chances(row["forecast"], today, days)) is not None:
            part = parts[row["part"]]
            found.append(
                PartAhead(row["job__bike"], row["job__bike__tag"], part, str(part), row["safety"], chances)
            )
    return tuple(found)


def _may_be_soon(told: Json | None, today: date, days: float) -> bool:
    """Whether one in ten such parts reaches its limit not long after the last day that is asked."""
    early = ((told or {}).get("day_at_limit") or {}).get("wide", [None])[0]
    return early is not None and date.fromisoformat(early) <= today + timedelta(days=2 * days + 60)


def _chances(told: Json | None, today: date, days: Sequence[float]) -> tuple[float, ...] | None:
    """None where the shape of what was kept is not read any more."""
    try:
        forecast = kept_forecast(told)
    except ValueError:
        return None
    if forecast is None:
        return None
    since = max(0, (today - forecast.day).days)
    return chance_by(forecast, [since + one for one in days])
