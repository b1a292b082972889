"""What rows of the tables are called, so that no sentence says their ids: a joint of a bike, a limit, a code of an interface."""

from functools import lru_cache

from pinchbolt.reference import Tables
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.values.wording import coded, worded
from pinchbolt.workshop.common.trade_tables import tables


def joint_name(joint: str) -> str:
    """Return how a joint of a bike is called: its row's name, and the end where a bike has two."""
    id, _, end = joint.partition(":")
    row = tables().joints.get(id)
    name = id.replace("-", " ") if row is None else row.name
    # A row that is for one end alone says it already.
    return worded("{name}, {end}", name=name, end=coded(end)) if end and end not in name.split() else name


def limit_name(limit: str) -> str:
    """Return what is read by a limit: "wear", "lining left"."""
    row = tables().limits.get(limit)
    return limit.replace("-", " ") if row is None else row.quantity


def part_name(part: str) -> str:
    """Return what a kind of part is called, with its end before it where it has one: rear tube is the rear inner tube."""
    kinds = tables().kinds
    end, _, behind = part.partition(" ")
    if part in kinds or behind not in kinds:
        end, behind = "", part
    return f"{end} {kinds[behind].words if behind in kinds else behind}".strip()


def fact_name(fact: str) -> str:
    """Return what a fact of a part is called."""
    row = tables().facts.get(fact)
    return fact.replace("_", " ") if row is None else row.name


@lru_cache(maxsize=2)
def _of_table(of: Tables) -> dict[str, str]:
    """Which kind of row a fact names, by its own name and by those of the flat build."""
    named = [fact for fact in of.facts.values() if fact.of]
    built = {
        fact.name_in_build(end): fact.of for fact in named if fact.build for end in ("front", "rear", "")
    }
    # A shell in the words of an old record names the same rows.
    return {"bb": "bb_shell"} | {fact.id: fact.of for fact in named} | built


def code_in_words(fact: str, value: object) -> str:
    """Return what a code of the tables means; empty where the value is no code."""
    rows = tables().interfaces.get(_of_table(tables()).get(fact, ""), ())
    row = next((one for one in rows if str(getattr(one, "id", "")) == str(value)), None)
    return str(getattr(row, "plain", "") or getattr(row, "trade_name", "")) if row is not None else ""


def value_in_words(fact: str, value: object) -> str:
    """Return a value of a fact as people say it, without its unit; a code of the tables is told by what it means."""
    return code_in_words(fact, value) or word_of(value)
