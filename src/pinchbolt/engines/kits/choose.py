"""The smallest, lightest or cheapest kit that covers the joints, with proof, ties and what each tool is there for."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from pinchbolt.engines.kits.cover import Cover, least_cover
from pinchbolt.engines.kits.kits_types import Aim, CoverJoint, CoverTool, Kit, Need, Swap
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Reason
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded

# Other sets as good that are named; more are said to exist, not listed.
MOST_SWAPS = 3
# What decides between kits that are alike in what was asked for.
_THEN: dict[Aim, Aim] = {"count": "grams", "grams": "count", "price": "count"}
_WORDS: dict[Aim, str] = {
    "count": worded("the fewest tools"),
    "grams": worded("the least mass"),
    "price": worded("the least money"),
}


def needs_of(joints: Sequence[CoverJoint], tools: Sequence[CoverTool]) -> tuple[Need, ...]:
    """Return what a kit must be able to do for *joints*: turn each, and keep the torque where one must be kept.

    Args:
        joints: Joints to be covered. [-]
        tools: Tools at hand. [-]

    Returns:
        Needs with the tools of which any one meets them; none where nothing at hand does. Of heads that a joint may have,
        those that something at hand turns. [-]

    Raises:
        InputRefused: A joint without a drive.

    Valid for: Tools whose `keeps` was worked out for these very joints.

    Source: Own rule.
    """
    needs = []
    for joint in joints:
        if not joint.drives:
            raise InputRefused(
                worded(
                    "{name} has no drive: a joint is turned by something. Name its drive, or leave it out.",
                    name=joint.name,
                )
            )
        turned = {tool.id: tool.drives for tool in tools}
        needs += _each_head(
            joint, worded("turn {name}", name=joint.name), joint.heads or (joint.drives,), turned
        )
        if joint.held:
            needs += _each_head(
                joint, worded("hold the other side of {name}", name=joint.name), (joint.held,), turned
            )
        if joint.needs_torque:
            sure = frozenset(tool.id for tool in tools if joint.id in tool.keeps)
            needs.append(Need(joint.id, worded("keep the torque of {name}", name=joint.name), sure))
            if joint.bits:
                on_tool = {tool.id: tool.bits for tool in tools}
                needs += _each_head(
                    joint, worded("turn {name} with a torque tool", name=joint.name), joint.bits, on_tool
                )
    return tuple(needs)


def _each_head(
    joint: CoverJoint, words: str, heads: Sequence[tuple[str, ...]], by: Mapping[str, frozenset[str]]
) -> list[Need]:
    """A need for each head that something at hand turns; one that nothing meets where nothing turns any of them."""
    found = []
    for head in heads:
        able = frozenset(tool for tool, drives in by.items() if not drives.isdisjoint(head))
        if able:
            found.append(Need(joint.id, f"{words} ({any_of(head)})", able))
    every = [drive for head in heads for drive in head]
    return found or [Need(joint.id, f"{words} ({any_of(every)})", frozenset())]


def choose_kit(joints: Sequence[CoverJoint], tools: Sequence[CoverTool], aim: Aim = "count") -> Kit:
    """Return the best set of *tools* that covers *joints*, and whether no other set does better.

    Least count, mass or price first; between equals the least mass, or the least count. Every joint must be turned by
    one of its drives, and kept to its torque where it needs one.

    Args:
        joints: Joints to be covered. [-]
        tools: Tools at hand. [g]
        aim: What is to be least: "count", "grams" or "price". [-]

    Returns:
        The kit, its figures, proof, needs left open, other kits as good, and why each tool is in it. [g]

    Raises:
        InputRefused: Two tools of one id, a mass or price under 0, a joint without a drive.
        Unknown: The least price is asked for and a price is missing.
        NotPossibleNow: The solver found nothing in its time.

    Valid for: Up to a few hundred tools and joints.

    Source: Set cover as a whole-number programme; branch and bound of scipy.optimize.milp.
    """
    _refuse(tools, aim)
    needs = needs_of(joints, tools)
    missing = tuple(need for need in needs if not need.by)
    place = {tool.id: at for at, tool in enumerate(tools)}
    rows = _hardest([frozenset(place[name] for name in need.by) for need in needs if need.by])
    first, second = _weights(tools, aim), _weights(tools, _THEN[aim])

    best = _known(least_cover(rows, first))
    among = _known(least_cover(rows, second, [(first, best.weight)]))
    others, more = _others(rows, first, second, among)
    chosen = among.columns
    return Kit(
        tools=tuple(tool.id for at, tool in enumerate(tools) if at in chosen),
        count=len(chosen),
        grams=float(sum(tools[at].grams for at in chosen)),
        price=_price([tools[at] for at in chosen]),
        at_least=best.at_least,
        proven=best.proven and among.proven,
        missing=missing,
        as_good=tuple(_swap(tools, chosen, other) for other in others),
        more_as_good=more,
        reasons=tuple(_reasons(tools, needs, chosen, aim, best)),
    )


def lost_without(
    kit: Sequence[str], tool: str, joints: Sequence[CoverJoint], tools: Sequence[CoverTool]
) -> tuple[Need, ...]:
    """Return what a kit can no longer do once *tool* is left out.

    Args:
        kit: Ids of the tools in the kit. [-]
        tool: Id of the tool to leave out. [-]
        joints: Joints to be covered. [-]
        tools: Tools at hand. [-]

    Returns:
        Needs that are met with it and not without; none where it is idle. [-]

    Raises:
        InputRefused: The tool is not in the kit.

    Valid for: The joints given; another bike may need what this one does not.

    Source: Own rule.
    """
    if tool not in kit:
        raise InputRefused(
            worded(
                "{tool} is not in the kit: it holds {kit}. Choose one of these.",
                tool=tool,
                kit=", ".join(kit) or worded("nothing"),
            )
        )
    left = frozenset(kit) - {tool}
    return tuple(need for need in needs_of(joints, tools) if tool in need.by and need.by.isdisjoint(left))


def _hardest(rows: Sequence[frozenset[int]]) -> list[frozenset[int]]:
    """The rows without those that another row brings along: who meets {a} meets {a, b} too. Covers stay the same."""
    kept: list[frozenset[int]] = []
    for row in sorted(set(rows), key=lambda row: (len(row), sorted(row))):
        if not any(smaller <= row for smaller in kept):
            kept.append(row)
    return kept


def _others(
    rows: Sequence[frozenset[int]], first: Sequence[Fraction], second: Sequence[Fraction], best: Cover
) -> tuple[list[frozenset[int]], bool]:
    """Other covers with both figures the same, and whether there are more than are named."""
    limit = sum((first[at] for at in best.columns), Fraction(0))
    known = [best.columns]
    while len(known) <= MOST_SWAPS + 1:
        other = least_cover(rows, second, [(first, limit), (second, best.weight)], known)
        if other is None:
            return known[1:], False
        known.append(other.columns)
    return known[1:-1], True


def _swap(tools: Sequence[CoverTool], chosen: frozenset[int], other: frozenset[int]) -> Swap:
    names = [tool.id for tool in tools]
    return Swap(
        leaves=tuple(name for at, name in enumerate(names) if at in chosen - other),
        comes=tuple(name for at, name in enumerate(names) if at in other - chosen),
    )


def _reasons(
    tools: Sequence[CoverTool], needs: Sequence[Need], chosen: frozenset[int], aim: Aim, best: Cover
) -> list[Reason]:
    proof = (
        worded("no set of these tools does better")
        if best.proven
        else worded("no set is under {at_least:g}; not proved", at_least=best.at_least)
    )
    told = [
        Reason(
            worded("Chosen for {words}; {proof}.", words=_WORDS[aim], proof=proof),
            "",
            worded("set cover, branch and bound"),
        )
    ]
    ids = frozenset(tools[at].id for at in chosen)
    for at in sorted(chosen):
        tool = tools[at]
        alone = [need.words for need in needs if need.by & ids == {tool.id}]
        what = worded("alone can {alone}", alone=alone[0]) + (
            worded(" and {alone} more", alone=len(alone) - 1) if len(alone) > 1 else ""
        )
        told.append(
            Reason(
                f"{tool.name} {(what if alone else worded('shares its work with others'))}.",
                tool.id,
                worded("own rule"),
            )
        )
    told += [
        Reason(worded("Nothing at hand can {words}.", words=need.words), need.joint, worded("own rule"))
        for need in needs
        if not need.by
    ]
    return told


def _weights(tools: Sequence[CoverTool], aim: Aim) -> list[Fraction]:
    if aim == "count":
        return [Fraction(1)] * len(tools)
    if aim == "grams":
        return [Fraction(repr(float(tool.grams))) for tool in tools]
    return [Fraction(tool.price) for tool in tools if tool.price is not None]


def _price(tools: Sequence[CoverTool]) -> Decimal | None:
    prices = [tool.price for tool in tools if tool.price is not None]
    return sum(prices, Decimal(0)) if len(prices) == len(tools) else None


def _known(cover: Cover | None) -> Cover:
    assert cover is not None  # every row has a column, so taking all of them is a cover
    return cover


def _refuse(tools: Sequence[CoverTool], aim: Aim) -> None:
    if len({tool.id for tool in tools}) < len(tools):
        raise InputRefused(
            worded("two tools have the same id: each tool is named once. Give the second a name of its own.")
        )
    for tool in tools:
        if not 0 <= tool.grams < 1e6:
            raise InputRefused(
                worded(
                    "{name} weighs {grams:g} g: a mass is 0 or more. Weigh it again.",
                    name=tool.name,
                    grams=tool.grams,
                )
            )
        if tool.price is not None and not (tool.price.is_finite() and tool.price >= 0):
            raise InputRefused(
                worded(
                    "{name} costs {price}: a price is 0 or more. Correct it.",
                    name=tool.name,
                    price=tool.price,
                )
            )
    unpriced = [tool.name for tool in tools if tool.price is None]
    if aim == "price" and unpriced:
        raise Unknown(
            worded(
                "No price is known for {unpriced}: enter it, or choose by count or mass.",
                unpriced=", ".join(unpriced),
            )
        )
