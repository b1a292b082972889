"""Copies of the book: making one now, here and at a second place, and which place that is; and signing a tablet out."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, allowed
from pinchbolt.workshop.acts.describe_shop import write_columns
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.common.checks import short

BackUp = Callable[[datetime, Path | None], object]


@dataclass(frozen=True, slots=True)
class PlaceRequest:
    """The second folder for copies, such as a stick or another machine's folder; empty for none."""

    place: str
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class BackUpRequest:
    """A copy now."""


@dataclass(frozen=True, slots=True)
class TabletRequest:
    """A tablet by what it is called, and who was signed in on it."""

    name: str
    who: str


@dataclass(frozen=True, slots=True)
class CopyMade:
    """A copy: when, by whom, where it lies, and why it does not lie at the second place."""

    at: datetime
    by: str
    places: tuple[str, ...]
    fault: str


def set_place(request: PlaceRequest, *, by: int, key: str, now: datetime) -> None:
    """Choose the second place; it must be there and be writable now.

    Raises:
        InputRefused: No such folder, or it can't be written.
    """
    with act("backup place set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        place = short(request.place, "place", worded("The folder"), 300)
        if place:
            _writable(Path(place))
        write_columns(this, "safe keeping", {"backup_place": place}, request.seen)


def back_up_now(
    request: BackUpRequest, here: Path, copy: BackUp, *, by: int, key: str, now: datetime
) -> CopyMade:
    """Make a copy in the home folder, and at the second place where there is one; a second place that fails is said, not hidden.

    Raises:
        NotAllowed: The person's role may not do this; then no copy is made.
        NotPossibleNow: The copy could not be made or is not whole.
    """
    allowed(by, "backup made", request)
    made: list[str] = []
    fault = ""
    if not Event.objects.filter(key=key).exists():
        # Before the act: a copy is no part of a transaction, and one that fails is not written down as made.
        copy(now, here)
        made.append(str(here))
        fault = _copy_to_second(copy, now, made)
    with act("backup made", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _made(this.done_before)
        this.said = {"places": made, "fault": fault, "what": ", ".join(made)}
        return _made(this.write())


def end_tablet(request: TabletRequest, *, by: int, key: str, now: datetime) -> bool:
    """Write down that a tablet is signed out; return whether this is the first time that it is asked."""
    with act("tablet ended", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return False
        this.said = {"what": f"{request.name}, {request.who}"}
        this.write()
        return True


def name_tablet(request: TabletRequest, *, by: int, key: str, now: datetime) -> str:
    """Write down what a tablet is called; return its name.

    Raises:
        InputRefused: No name, or too long.
    """
    with act("tablet named", by=by, key=key, now=now, request=request) as this:
        name = short(request.name, "name", worded("The name"), 40, needed=True)
        if not this.repeated:
            this.said = {"what": name}
            this.write()
        return name


def copies_made() -> tuple[CopyMade, ...]:
    """Return the newest copies that were asked for on a screen."""
    rows = Event.objects.filter(kind="backup made").select_related("by").order_by("-pk")[:5]
    return tuple(map(_made, rows))


def _made(event: Event) -> CopyMade:
    said = event.said
    return CopyMade(event.at, event.by.name, tuple(said.get("places", ())), str(said.get("fault", "")))


def _copy_to_second(copy: BackUp, now: datetime, made: list[str]) -> str:
    """Copy to the second place, where there is one; return why it did not work."""
    second = terms().backup_place
    if not second:
        return ""
    try:
        _writable(Path(second))
        copy(now, Path(second))
    except (InputRefused, NotPossibleNow) as refused:
        return refused.sentence
    except OSError as error:
        return worded("{second} can not be written ({strerror}).", second=second, strerror=error.strerror)
    made.append(second)
    return ""


def _writable(folder: Path) -> None:
    sentence = ""
    if not folder.is_absolute():
        sentence = worded(
            '"{folder}" is no whole path: write it from its root on, such as /media/stick/bench.',
            folder=folder,
        )
    elif not folder.is_dir():
        sentence = worded(
            '"{folder}" is not there: make the folder, or put the stick in, and try again.', folder=folder
        )
    if not sentence:
        probe = folder / ".pinchbolt-was-here"
        try:
            probe.write_bytes(b"")
            probe.unlink()
        except OSError as error:
            sentence = worded(
                '"{folder}" can not be written ({strerror}): choose another one.',
                folder=folder,
                strerror=error.strerror,
            )
    if sentence:
        raise InputRefused(sentence, {"place": sentence})
