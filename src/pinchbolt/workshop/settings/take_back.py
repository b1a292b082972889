"""Taking back a change of the settings: what stood there before stands there again, until a field of it was changed anew."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import Event, Person, Role, Workshop
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.setting_changes import PAGES, can_be_undone, changes_of
from pinchbolt.workshop.settings.change_rows import write_rows

_COLUMNS = (
    "workshop described",
    "bill terms set",
    "days set",
    "words set",
    "backup place set",
    "change point set",
    "first list put away",
)
_MONEY = ("labour_an_hour", "tax_percent")


@dataclass(frozen=True, slots=True)
class TakeBackRequest:
    """The change to take back, by its event."""

    event: int


def take_back(request: TakeBackRequest, *, by: int, key: str, now: datetime) -> str:
    """Take a change back; return the page of the settings that it is of.

    Raises:
        NotPossibleNow: One of its fields was changed since, or it was taken back already.
        NotFound: No such change.
    """
    with act("setting taken back", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return str(this.done_before.said["page"])
        page, event, later = _found(request.event)
        if event.corrected_by.exists() or not can_be_undone(event, later):
            raise NotPossibleNow(
                worded("It was changed since, or taken back: change it again. Reload the page.")
            )
        this.said = {"page": page, "was": event.said["now"], "now": event.said["was"], "of": event.pk}
        if event.kind == "row changed":
            _rows_back(this, event)
            return page
        if event.kind in _COLUMNS:
            _columns_back(event.said["was"])
        elif event.kind in ("person changed", "person retired", "person back"):
            _person_back(event)
        this.write(corrects=event)
        return page


def _found(event: int) -> tuple[str, Event, list[Event]]:
    for page in PAGES:
        rows = changes_of(page)
        found = next((one for one in rows if one.pk == event), None)
        if found is not None:
            return page, found, rows
    raise NotFound(worded("There is no such change of the settings. Choose one from its page."))


def _rows_back(this: Act, event: Event) -> None:
    rows = {name.partition("/")[2]: fields for name, fields in event.said["was"].items()}
    of = event.pk
    write_rows(this, event.said["table"], rows, worded("taken back, {of}", of=of), corrects=event)


def _columns_back(was: Mapping[str, object]) -> None:
    row = Workshop.objects.select_for_update().get()
    for name, value in was.items():
        setattr(row, name, Decimal(str(value)) if name in _MONEY else value)
    row.save(update_fields=list(was))


def _person_back(event: Event) -> None:
    person = Person.objects.get(sign_in=event.said["sign_in"])
    for field, value in event.said["was"].items():
        name = "is_active" if field.endswith(" works here") else field.rpartition(" ")[2]
        setattr(person, name, value)
        person.save(update_fields=[name])
    if not Person.objects.filter(is_active=True, role=Role.OWNER).exists():
        raise NotPossibleNow(worded("Somebody must own the workshop: give the role to another first."))
