"""What agreed work still lacks: by the number of the bins where that can be told, else by its words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.records.models import BinPart
from pinchbolt.workshop.acts.state import jobs_here, that_stand
from pinchbolt.workshop.came_up.job_parts import parts_for
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.parts.wanted import WANTED, open_wanted, wanted_by_id
from pinchbolt.workshop.stays.promise import promise_in


@dataclass(frozen=True, slots=True)
class NeedView:
    """A part that agreed work or the bins lack: for which job, until when, and which row of the bins it is (None: nobody can tell)."""

    words: str
    count: int
    job: int | None
    tag: str
    line: int | None
    part: int | None
    until: date | None
    wanted: int | None
    bin_number: str

    def in_days(self, today: date) -> int | None:
        """Days until it must be here, the day of the promise not counted; None where nothing was promised."""
        return None if self.until is None else max(0, (self.until - today).days - 1)


def needs(now: datetime) -> tuple[NeedView, ...]:
    """Return what agreed work of the bikes that are here lacks and nobody has ordered, and what is wanted for the bins."""
    found: list[NeedView] = []
    for job in jobs_here().select_related("bike", "bike__owner").prefetch_related("events__by"):
        at = promise_in(that_stand(job.events.all()), job).at
        for one in parts_for(job, now, with_bins=False):
            if one.wanted is not None and one.wanted.state != WANTED:
                continue
            wanted = one.wanted.id if one.wanted is not None else None
            until = local_day(at) if at is not None else None
            found.append(
                NeedView(one.words, one.count, job.pk, job.bike.tag, one.line, one.part, until, wanted, "")
            )
    for other in open_wanted():
        # What stands beside the lines of a job, and what the bins want.
        if other.state == WANTED and other.id not in {one.wanted for one in found}:
            found.append(
                NeedView(
                    other.words, other.count, other.job, other.tag, other.line, other.part, None, other.id, ""
                )
            )
    return _with_numbers(found)


def _with_numbers(found: Sequence[NeedView]) -> tuple[NeedView, ...]:
    """The row of the bins that each is: as somebody said, else the only one of these very words."""
    said: dict[int | None, BinPart | None] = {
        one.wanted: wanted_by_id(one.wanted).bin_part for one in found if one.wanted is not None
    }
    by_words = _only_of_words({one.words for one in found})
    return tuple(
        NeedView(
            one.words, one.count, one.job, one.tag, one.line, one.part, one.until, one.wanted,
            part.number if (part := said.get(one.wanted)) is not None else by_words.get(one.words.strip().lower(), ""),
        )
        for one in found
    )  # fmt: skip


def _only_of_words(words: Iterable[str]) -> Mapping[str, str]:
    """Number by words in small letters, where one row alone has them: the program does not choose between two."""
    wanted = {one.strip().lower() for one in words}
    if not wanted:
        return {}
    found: dict[str, list[str]] = {}
    rows = BinPart.objects.filter(used_part__isnull=True).values_list("words", "number")
    for text, number in rows.iterator():
        if (plain := text.strip().lower()) in wanted:
            found.setdefault(plain, []).append(number)
    return {plain: numbers[0] for plain, numbers in found.items() if len(numbers) == 1}
