"""What a finding asks for next, with one day at most: the same at the stand, at the counter and on paper."""

from dataclasses import dataclass
from datetime import date

from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.note_finding import FindingView

_BARE = {
    Verdict.SOUND: worded("nothing to do"),
    Verdict.WATCH: worded("nothing to do today"),
    Verdict.NEXT_VISIT: worded("best done at your next visit"),
    Verdict.BEFORE_IT_LEAVES: worded("we want to do this before you take the bike"),
    Verdict.UNSAFE: worded("please do not ride it like this"),
}


@dataclass(frozen=True, slots=True)
class Next:
    """What is wanted, in words that hold the day where there is one; and that day."""

    words: str
    day: date | None


def what_next(found: FindingView) -> Next:
    """Return what is wanted next: another look by a day, the work by a day, or the verdict's own word.

    The work of a next visit is wanted by the first day on which the limit may be reached (1 in 10), another look by the
    forecast's own day for it.
    """
    said, forecast, read_on = Verdict(found.verdict), found.forecast, found.day
    if forecast is None:
        return Next(_BARE[said], None)
    if said == Verdict.NEXT_VISIT:
        first = forecast.day_at_limit.wide[0]
        if first is not None and first > read_on and not forecast.is_past:
            return Next(worded("please have it done by {first}", first=day_words(first)), first)
    if said == Verdict.WATCH:
        look = forecast.next_check_day
        if forecast.shows_limit or (look is not None and look <= read_on):
            return Next(
                worded(
                    "we are not sure yet: we will measure it again with another gauge before you collect it"
                ),
                None,
            )
        if look is not None:
            return Next(
                worded("nothing to do today; let us look again by {look}", look=day_words(look)), look
            )
    return Next(_BARE[said], None)


def day_words(day: date) -> str:
    """Return a day as it is said to an owner: 4 January 2027."""
    return f"{day.day} {day:%B %Y}"
