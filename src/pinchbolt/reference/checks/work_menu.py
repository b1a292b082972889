"""What the menu of work must satisfy: what comes out goes back to its value, and every finding leads somewhere."""

import re
from collections.abc import Iterator

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.work import Operation, part_wanted
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded


def work(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every operation that loses a safety step or a part's price, and for every limit that leads nowhere."""
    if known.unread:
        return
    for operation in tables.operations.values():
        yield from _said(tables, operation)
        yield from _at_place(tables, operation)
    # Where a row was refused for a fault of its own, what it would have said is not known.
    if len(tables.prices) == len(known.ids["price"]):
        priced = frozenset(price.part for price in tables.prices.values())
        with_parts: tuple[Operation | Proposal, ...] = (
            *tables.operations.values(),
            *tables.proposals.values(),
        )
        for row in with_parts:
            yield from _parts(tables, priced, row)
    if len(tables.proposals) == len(known.ids["proposal"]):
        # A limit of the workshop's own may have no line: the mechanic chooses one from the menu.
        asking: dict[str, list[Proposal]] = {}
        for proposal in tables.proposals.values():
            for name in proposal.limits:
                asking.setdefault(name, []).append(proposal)
        for limit in tables.limits.values():
            if not limit.from_shop:
                yield from _leads(limit, asking.get(limit.id, []))


def _parts(tables: Tables, priced: frozenset[str], row: Operation | Proposal) -> Iterator[Complaint]:
    """Parts that would be left out of an estimate without a word."""
    for text in row.parts:
        try:
            wanted = part_wanted(text)
        except ValueError:
            yield Complaint(
                row,
                "parts",
                worded('holds "{text}"', text=text),
                worded("KIND, KIND x 2 or KIND x FACT|2, counted from 1"),
            )
            continue
        if wanted.kind not in tables.kinds:
            yield Complaint(
                row,
                "parts",
                worded('names "{kind}"', kind=wanted.kind),
                worded("an id that stands under [[kind]]"),
            )
        elif wanted.kind not in priced:
            yield Complaint(
                row,
                "parts",
                worded('names "{kind}"', kind=wanted.kind),
                worded("a kind of part with a row under [[price]]"),
            )
        if wanted.fact and wanted.fact not in tables.facts:
            yield Complaint(
                row,
                "parts",
                worded('counts by "{fact}"', fact=wanted.fact),
                worded("an id that stands under [[fact]]"),
            )


def _can_be_unsafe(limit: LimitRow) -> bool:
    return (
        limit.at_limit is Verdict.UNSAFE or (limit.danger, limit.danger_low, limit.danger_high) != (None,) * 3
    )


def _leads(limit: LimitRow, rows: list[Proposal]) -> Iterator[Complaint]:
    """A reading past its limit that asks for no work, no refusal and says no word."""
    heard = [row for row in rows if Verdict(row.from_verdict).rank <= limit.at_limit.rank]
    if not heard:
        yield Complaint(
            limit,
            "id",
            worded("leads nowhere"),
            worded("a row of proposals.toml that names it, from its verdict on"),
        )
    elif _can_be_unsafe(limit) and not any(row.operation or row.refusal for row in heard):
        yield Complaint(
            limit,
            "id",
            worded("is unsafe and leads to words alone"),
            worded("an operation or a refusal in proposals.toml"),
        )


def _said(tables: Tables, operation: Operation) -> Iterator[Complaint]:
    """Steps that tell of a block whose joints the operation does not bring."""
    shared = {name for end in ("front", "rear") for name in operation.blocks_at(end)}
    for step in operation.steps:
        telling = {
            phrase: [block.id for block in tables.blocks.values() if phrase in block.said]
            for block in tables.blocks.values()
            for phrase in block.said
            if phrase in step and re.search(rf"\b{re.escape(phrase)}\b", step)
        }
        for phrase, blocks in telling.items():
            if shared.isdisjoint(blocks):
                wrong = worded(
                    'says "{phrase}" and shares none of {blocks}', phrase=phrase, blocks=", ".join(blocks)
                )
                yield Complaint(
                    operation,
                    "steps",
                    wrong,
                    worded("that block under shares, so that its joints are done to their value"),
                )


def _at_place(tables: Tables, operation: Operation) -> Iterator[Complaint]:
    """Work on one end of the bike that does not say so would be done once for both."""
    shares = [name for name in operation.shares if "{end}" in name]
    shares += [name for name in operation.shares if (row := tables.blocks.get(name)) and row.at_place]
    if shares and not operation.at_place:
        yield Complaint(
            operation,
            "at_place",
            worded("is false"),
            worded("true, since {shares} is done at one end of the bike", shares=shares[0]),
        )
