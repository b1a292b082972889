"""Looks, faults, access and complaints hang together: what the choice of looks takes for granted."""

from collections.abc import Iterator, Mapping

from pinchbolt.reference.checks.complaint import Complaint, at_least
from pinchbolt.reference.checks.known import Known, dangling
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.looks import AccessRow, ComplaintRow, LookFaultRow, LookRow
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values.wording import worded

LEANS = frozenset({"km", "age", "wet", "neglect", "fall"})
ENDS = ("front", "rear")
MOST_HARM, MOST_SHARES = 100.0, 10.0


def looks(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every look, fault, access or complaint that leads nowhere or can't be."""
    for look in tables.looks.values():
        yield from _look(look, tables, known)
    seen = {fault for look in tables.looks.values() for fault in look.sees}
    for fault in tables.look_faults.values():
        yield from _fault(fault, tables, known)
        if fault.id not in seen and "look" not in known.unread:
            yield Complaint(
                fault, "id", worded("is seen by no look"), worded("a fault that one look sees at least")
            )
    for access in tables.access.values():
        yield from _access(access, tables, known)
    for complaint in tables.complaints.values():
        yield from _complaint(complaint, tables, known)


def at_ends(name: str) -> tuple[str, ...]:
    """The ids that a name with {end} stands for."""
    return tuple(name.replace("{end}", end) for end in ENDS) if "{end}" in name else (name,)


def _look(row: LookRow, tables: Tables, known: Known) -> Iterator[Complaint]:
    yield from dangling(known, row, "station", at_ends(row.station), "station")
    yield from dangling(known, row, "on", row.on, "kind")
    yield from dangling(known, row, "limits", row.limits, "limit")
    yield from dangling(known, row, "then", row.then, "look")
    yield from dangling(known, row, "after", row.after, "look")
    yield from dangling(known, row, "sees", row.sees, "look_fault")
    for name in row.access:
        yield from dangling(known, row, "access", at_ends(name), "access")
    if not row.on:
        yield Complaint(row, "on", worded("is empty"), worded("the kinds of part that it is done on"))
    yield from at_least(row, "seconds", 0, open_end=True)
    yield from _chances(row, "sees", row.sees)
    yield from _chances(row, "false_alarm", {"": row.false_alarm})
    if "{end}" in row.station + "".join(row.access) and not row.ends:
        yield Complaint(
            row, "station", worded("has {end}"), worded("a look at each end (ends = true), or one station")
        )
    if row.always and row.access:
        yield Complaint(
            row,
            "access",
            worded("is given"),
            worded("nothing: what is always looked at is done on the floor"),
        )
    if row.always and row.figure:
        yield Complaint(
            row, "figure", worded("is true"), worded("one tap: what is always looked at needs no instrument")
        )
    if row.id in _before(row, tables.looks):
        yield Complaint(row, "after", worded("comes round to itself"), worded("looks that stand before it"))


def _before(row: LookRow | AccessRow, rows: Mapping[str, LookRow] | Mapping[str, AccessRow]) -> set[str]:
    """Everything that comes before a row."""
    found: set[str] = set()
    waiting = list(row.after)
    while waiting:
        name = waiting.pop()
        if name not in found and name in rows:
            found.add(name)
            waiting += rows[name].after
    return found


def _chances(row: Row, field: str, chances: Mapping[str, float]) -> Iterator[Complaint]:
    for name, chance in chances.items():
        if not 0 < chance < 1:
            yield Complaint(
                row,
                field,
                worded(
                    "is {chance:g}{name}",
                    chance=chance,
                    name=worded(" for {name}", name=name) if name else "",
                ),
                worded("above 0, under 1"),
            )


def _fault(row: LookFaultRow, tables: Tables, known: Known) -> Iterator[Complaint]:
    chances = {"": row.chance} if row.chance_rear is None else {"": row.chance, "rear": row.chance_rear}
    yield from _chances(row, "chance", chances)
    yield from _chances(row, "where", {str(number): one.chance for number, one in enumerate(row.where)})
    for one in row.where:
        yield from dangling(known, row, "where", one.kinds, "bike_kind")
    yield from dangling(known, row, "forecast", row.forecast, "limit")
    yield from at_least(row, "harm", 0)
    yield from at_least(row, "money", 0)
    if row.harm > MOST_HARM:
        yield Complaint(
            row,
            "harm",
            worded("is {harm:g}", harm=row.harm),
            worded("{most_harm:g} at most, a sure fall", most_harm=MOST_HARM),
        )
    for name in row.leans:
        if name not in LEANS:
            yield Complaint(
                row,
                "leans",
                worded('names "{name}"', name=name),
                worded("one of {leans}", leans=", ".join(sorted(LEANS))),
            )
    if row.goes_with:
        yield from dangling(known, row, "goes_with", [row.goes_with], "look_fault")
        parent = tables.look_faults.get(row.goes_with)
        if parent is not None and parent.goes_with:
            yield Complaint(
                row,
                "goes_with",
                worded('names "{id}"', id=parent.id),
                worded("a fault that goes with no other"),
            )
    if bool(row.goes_with) != bool(row.goes_with_log_odds):
        yield Complaint(
            row, "goes_with_log_odds", worded("stands alone"), worded("goes_with and its log odds together")
        )


def _access(row: AccessRow, tables: Tables, known: Known) -> Iterator[Complaint]:
    yield from dangling(known, row, "after", row.after, "access")
    yield from at_least(row, "seconds", 0, open_end=True)
    for one in row.where:
        yield from dangling(known, row, "where", one.kinds, "bike_kind")
        if one.seconds <= 0:
            yield Complaint(row, "where", worded("is {seconds:g} s", seconds=one.seconds), worded("above 0"))
    if row.id in _before(row, tables.access):
        yield Complaint(row, "after", worded("comes round to itself"), worded("what is open before it"))


def _complaint(row: ComplaintRow, tables: Tables, known: Known) -> Iterator[Complaint]:
    names = {name.partition(":")[0] for name in row.shares}
    yield from dangling(known, row, "shares", sorted(names), "look_fault")
    yield from dangling(known, row, "first", [name.partition(":")[0] for name in row.first], "look")
    for name, share in row.shares.items():
        if not 0 < share <= MOST_SHARES:
            yield Complaint(
                row,
                "shares",
                worded("is {share:g} for {name}", share=share, name=name),
                worded("above 0, 10 at most"),
            )
    if not 0 < row.nothing_found < MOST_SHARES:
        yield Complaint(
            row,
            "nothing_found",
            worded("is {nothing_found:g}", nothing_found=row.nothing_found),
            worded("above 0, under 10"),
        )
    if not row.said:
        yield Complaint(row, "said", worded("is empty"), worded("words that owners use"))
    yield from _splits(row)


def _splits(row: ComplaintRow) -> Iterator[Complaint]:
    earlier: set[str] = set()
    for split in row.splits:
        for name in (*split.yes, *split.no):
            if name not in row.shares:
                yield Complaint(
                    row,
                    "splits",
                    worded('{id} names "{name}"', id=split.id, name=name),
                    worded("causes that have a share"),
                )
        if split.after and split.after not in earlier:
            yield Complaint(
                row,
                "splits",
                worded('{id} waits for "{after}"', id=split.id, after=split.after),
                worded("an answer of a test above it"),
            )
        earlier |= {f"{split.id}=yes", f"{split.id}=no"}
