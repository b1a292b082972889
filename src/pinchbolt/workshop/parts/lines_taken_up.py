"""Lines of a job that were put off and taken up again in a later one: their parts follow them."""

from collections.abc import Mapping

from pinchbolt.records.models import Event
from pinchbolt.workshop.acts.one_look import once_a_look


@once_a_look
def taken_up() -> Mapping[int, tuple[int, int]]:
    """Return, of every line that was taken up, the line and the job that go on with it, by its id; of several times the last."""
    found: dict[int, tuple[int, int]] = {}
    events = Event.objects.filter(kind="rest taken up", corrected_by__isnull=True).order_by("pk")
    for job, said in events.values_list("job", "said"):
        found |= {int(old): (int(new), int(job)) for old, new in said["lines"].items()}
    return {old: _newest(old, found) for old in found}


def _newest(line: int, found: Mapping[int, tuple[int, int]]) -> tuple[int, int]:
    """What was put off twice is where it was taken up last."""
    at = found[line]
    while at[0] in found:
        at = found[at[0]]
    return at


def lines_before(line: int) -> set[int]:
    """Return the lines that one goes on with, and itself."""
    return {line, *(old for old, (new, _) in taken_up().items() if new == line)}
