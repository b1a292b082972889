"""The rows of one place of the walk-round, as the page shows them."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.bench.walk_round.walk_round_form import ReadingForm
from pinchbolt.errors import InputRefused, Meant, NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.stays.walk_round import (
    PlaceDue,
    PlaceToRead,
    ReadingDue,
    RowToRead,
    place_due,
    places_to_read,
)


@dataclass(frozen=True, slots=True)
class WalkRow:
    """A reading to take or taken; `form` holds the entries of a refused try."""

    id: str
    due: ReadingDue
    form: ReadingForm
    is_refused: bool

    @property
    def value_name(self) -> str:
        """The name of the figure's field."""
        return f"{self.id}-value"

    @property
    def value_said(self) -> str:
        """What was said of the figure that was refused."""
        return str(next(iter(self.form.errors.get("value", ())), "")) if self.is_refused else ""

    @property
    def meant(self) -> tuple[Meant, ...]:
        """What was probably meant by a refused figure: one tap takes it."""
        refusal = self.form.refusal if self.is_refused else None
        return refusal.meant if isinstance(refusal, InputRefused) else ()

    @property
    def more_said(self) -> bool:
        """Whether something was said of a field that is folded away."""
        return bool({"day", "distance_km", "distance_known"} & set(self.form.errors))

    @property
    def asks_first(self) -> bool:
        """Whether the distance is asked in plain sight: where the forecast turns on it, and one that was refused."""
        refused = self.is_refused and bool(self.form.data.get(f"{self.id}-distance_km"))
        return refused or self.due.asks_km_first

    @property
    def by_distance(self) -> bool:
        """Whether this part wears by distance."""
        return bool(self.due.km_source)


@dataclass(frozen=True, slots=True)
class PlaceView:
    """A place in the list of places: how many of its readings were taken, the worst verdict, and how much is asked first."""

    id: str
    words: str
    spot: str
    taken: int
    count: int
    worst: str
    here: bool
    asks: int


def row_id(due: RowToRead) -> str:
    """Return the name of a row on the page."""
    return f"r{due.part}.{due.limit}"


def due_of(job: int, when: datetime, row: str) -> tuple[PlaceDue, ReadingDue]:
    """Return the reading of a row of a job's walk-round, and its place.

    Raises:
        NotFound: This bike has no such reading.
    """
    found_job = job_by_id(job)
    for place in places_to_read(found_job, when):
        if any(row_id(one) == row for one in place.readings):
            here = place_due(found_job, when, place.id)
            return here, next(due for due in here.readings if row_id(due) == row)
    raise NotFound(
        worded(
            "This reading is not one of this bike's now. Reload the page: the build sheet may have changed."
        )
    )


def chosen_place(places: tuple[PlaceToRead, ...], wanted: str) -> PlaceToRead | None:
    """Return the place that was asked for, else the first where something is left to read or to ask, else the first."""
    if wanted:
        found = next((place for place in places if place.id == wanted), None)
        if found is None:
            raise NotFound(
                worded(
                    'The walk-round of this bike has no place "{wanted}". Choose one along the bike.',
                    wanted=wanted[:40],
                )
            )
        return found
    open_ones = (
        place
        for place in places
        if place.asks or any(row.taken is None and not row.is_deeper for row in place.readings)
    )
    return next(open_ones, places[0] if places else None)


def place_views(places: tuple[PlaceToRead, ...], here: str) -> tuple[PlaceView, ...]:
    """Return the list of places."""
    return tuple(_place_seen(place, here) for place in places)


def _place_seen(place: PlaceToRead, here: str) -> PlaceView:
    taken = [row.taken for row in place.readings if row.taken is not None]
    worst = max(taken, key=lambda finding: finding.rank, default=None)
    # What is read only where there is cause does not stand open.
    count = sum(1 for row in place.readings if row.taken is not None or not row.is_deeper)
    return PlaceView(
        place.id,
        place.words,
        place.spot,
        len(taken),
        count,
        worst.verdict if worst else "",
        place.id == here,
        len(place.asks),
    )


def rows_of(place: PlaceDue, refused: ReadingForm | None) -> tuple[WalkRow, ...]:
    """Return the rows of a place; the refused form stands in its own row."""
    return tuple(_row(due, refused) for due in place.readings)


def _row(due: ReadingDue, refused: ReadingForm | None) -> WalkRow:
    name = row_id(due)
    if refused is not None and refused.prefix == name:
        return WalkRow(name, due, refused, is_refused=True)
    return WalkRow(name, due, ReadingForm(prefix=name), is_refused=False)
