"""What the menu of work must satisfy: what comes out goes back to its value, and every finding leads somewhere."""

from collections.abc import Iterator

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known
from pinchbolt.reference.rows.work import Operation
from pinchbolt.reference.tables_type import Tables


def work(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every operation that loses a safety step."""
    if known.unread:
        return
    for operation in tables.operations.values():
        yield from _said(tables, operation)
        yield from _at_place(tables, operation)


def _said(tables: Tables, operation: Operation) -> Iterator[Complaint]:
    """Steps that tell of a block whose joints the operation does not bring."""
    shared = {name for end in ("front", "rear") for name in operation.blocks_at(end)}
    for step in operation.steps:
        telling = {
            phrase: [block.id for block in tables.blocks.values() if phrase in block.said]
            for block in tables.blocks.values()
            for phrase in block.said
            if phrase in step
        }
        for phrase, blocks in telling.items():
            if shared.isdisjoint(blocks):
                wrong = f'says "{phrase}" and shares none of {", ".join(blocks)}'
                yield Complaint(
                    operation,
                    "steps",
                    wrong,
                    "that block under shares, so that its joints are done to their value",
                )


def _at_place(tables: Tables, operation: Operation) -> Iterator[Complaint]:
    """Work on one end of the bike that does not say so would be done once for both."""
    shares = [name for name in operation.shares if "{end}" in name]
    shares += [name for name in operation.shares if (row := tables.blocks.get(name)) and row.at_place]
    if shares and not operation.at_place:
        yield Complaint(
            operation, "at_place", "is false", f"true, since {shares[0]} is done at one end of the bike"
        )
