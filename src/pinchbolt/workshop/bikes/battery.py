"""A swollen battery: it stops the job and follows the bike until somebody says where it went."""

from django.db.models import QuerySet

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike, Event
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look

SWELLS, GONE = "battery swollen", "battery gone"
# Common practice, no source: the maker's sheet and local fire rules decide.
SWOLLEN = worded(
    "Swollen battery: do not charge, ride, press, open or carry it through the house. "
    "Outside, on bare ground, away from walls and anything that burns, nobody sleeps "
    "near it. If it smokes or hisses: away from it, and the fire service. Its maker's "
    "sheet wins."
)
_NEXT = worded("Say on the page of what came up where the battery went before the work goes on.")


@once_a_look
def swollen_bikes() -> frozenset[int]:
    """Return the ids of the bikes whose battery was found swollen and is not gone yet."""
    newest: dict[int, str] = {}
    for bike, kind in _told():
        newest[bike] = kind
    return frozenset(bike for bike, kind in newest.items() if kind == SWELLS)


@prepared
def _told() -> QuerySet[Event, tuple[int, str]]:
    rows = Event.objects.filter(kind__in=(SWELLS, GONE), bike__isnull=False, corrected_by__isnull=True)
    return rows.order_by("pk").values_list("bike", "kind")


def is_swollen(bike: Bike) -> bool:
    """Return whether this bike's battery was found swollen and is not gone yet."""
    return bike.pk in swollen_bikes()


def refuse_swollen(bike: Bike) -> None:
    """Refuse work on a bike with a swollen battery.

    Raises:
        NotPossibleNow: It is, and what to do.
    """
    if is_swollen(bike):
        raise NotPossibleNow(
            worded("{tag} has a swollen battery: nothing is done on it. {next}", tag=bike.tag, next=_NEXT)
        )
