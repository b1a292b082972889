"""Whether what hangs on the board turns a head: a key by hand, a bit for the torque tool."""

from collections.abc import Iterable
from dataclasses import dataclass

from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import tools_in_use


@dataclass(frozen=True, slots=True)
class HeadsHere:
    """Heads that something here turns, and those that a bit or an adapter turns for a torque tool.

    Either is empty where nothing of the kind hangs: then nobody keeps it on the board, and nothing is said of it.
    """

    turned: frozenset[str]
    with_torque: frozenset[str]


def heads_here() -> HeadsHere:
    """Return what the tools in use turn."""
    rows = [row for tool in tools_in_use() if (row := tables().tools.get(tool.table_id)) is not None]
    bits = frozenset(head for row in rows for head in row.bits)
    return HeadsHere(bits.union(head for row in rows for head in row.covers), bits)


def said_of_heads(heads: Iterable[str], here: HeadsHere, with_torque: bool) -> tuple[str, ...]:
    """Return what is to be said where none of the heads that a joint may have is turned here; *with_torque*: by a torque tool."""
    wanted = tuple(heads)
    if wanted in ((), ("hand",)) or not here.turned:
        return ()
    which = " or ".join(wanted)
    if here.turned.isdisjoint(wanted):
        return (
            worded(
                "Nothing that hangs here turns {which}: borrow it, or hang it on the board, before "
                "this joint is opened.",
                which=which,
            ),
        )
    if with_torque and here.with_torque and here.with_torque.isdisjoint(wanted):
        return (
            worded(
                "No bit that hangs here turns {which}: the torque tool needs one. A key alone keeps "
                "no torque.",
                which=which,
            ),
        )
    return ()
