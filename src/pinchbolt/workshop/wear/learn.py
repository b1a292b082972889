"""The workshop's own parts teach its forecasts: what was learned is kept as an event, version by version."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from pinchbolt.engines.wear import LearnedPriors, PartLife, learn_own
from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Part, Reading
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, allowed
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import InstrumentView
from pinchbolt.workshop.wear._learned import LearnedView, gauges_to_check, learned_view, trade_version
from pinchbolt.workshop.wear.part_wear import part_life

Progress = Callable[[float], None]
GATHERED = 0.5  # share of the work that gathering is taken for


@dataclass(frozen=True, slots=True)
class LearnRequest:
    """Learn from all parts read so far."""


def learn(
    request: LearnRequest, *, by: int, key: str, now: datetime, progress: Progress | None = None
) -> LearnedView:
    """Learn from every part on record and use it from now on; findings written before keep what they said.

    Raises:
        NotAllowed: The person's role may not.
        NotPossibleNow: No part has been read yet.
    """
    # Asked again in the act: who may not is told so before the machine works for minutes.
    allowed(by, "learned", request)
    lives = _lives(local_day(now), progress)
    if not lives:
        raise NotPossibleNow(
            worded(
                "No part that wears by a law has been read yet: there is nothing to learn from. Take "
                "readings first."
            )
        )
    found = learn_own({**tables().wear_priors, "version": trade_version()}, lives, today=local_day(now))
    with act("learned", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return learned_view(this.done_before)
        this.said = {**as_json(request), **_kept(found, len(lives))}
        event = this.write()
    if progress:
        progress(1.0)
    return learned_view(event)


def with_what_was_learned(instruments: Iterable[InstrumentView]) -> list[InstrumentView]:
    """The board's instruments; before how to check it stands what new parts read on it, where it was not checked since."""
    said = gauges_to_check()

    def told(one: InstrumentView) -> InstrumentView:
        words, day = said.get(one.name, ("", None))
        known_since = one.checked is not None and day is not None and one.checked >= day
        return one if not words or known_since else replace(one, check=f"{words} {one.check}".strip())

    return [told(one) for one in instruments]


def _kept(found: LearnedPriors, parts: int) -> Json:
    return {
        "version": found.version,
        "from": trade_version(),
        "parts": parts,
        "words": [life.words for life in found.lives],
        "reasons": [reason.words for reason in found.reasons],
        "priors": as_json(found.priors),
        "biases": as_json(found.biases),
    }


def _lives(today: date, progress: Progress | None) -> list[PartLife]:
    """Every part with readings of a row that wears by a law, with the trade's law and its bike's use a week."""
    pairs = list(
        Reading.objects.filter(event__corrected_by__isnull=True)
        .values_list("part_id", "limit")
        .distinct()
        .order_by("part_id", "limit")
    )
    parts = Part.objects.in_bulk({part for part, _ in pairs})
    lives = []
    for done, (part, limit_id) in enumerate(pairs, start=1):
        limit = tables().limits.get(limit_id)
        life = part_life(parts[part], limit, today) if limit else None
        if life is not None:
            lives.append(life)
        if progress:
            progress(GATHERED * done / len(pairs))
    return lives
