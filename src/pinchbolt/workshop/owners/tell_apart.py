"""Two people who share a phone or a name: that they are two is written down, so that nobody is asked again."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.owners.change_owner import owner_to_change


@dataclass(frozen=True, slots=True)
class ApartRequest:
    """Two owners who are not one person."""

    one: int
    other: int


def tell_apart(request: ApartRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that two owners are two people.

    Raises:
        NotFound: No such owner.
    """
    with act("owners told apart", by=by, key=key, now=now, request=request) as this:
        if not this.repeated:
            owner_to_change(request.one)
            owner_to_change(request.other)
            this.write()
