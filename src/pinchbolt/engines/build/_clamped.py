"""Which parts a joint of this bike clamps."""

from pinchbolt.engines.build._queries import JointOn
from pinchbolt.engines.build.build_types import Build, PartOn


def clamped_by(build: Build, joint: JointOn) -> tuple[PartOn, ...]:
    """Return the parts that a joint clamps, of the kinds that its row names.

    Of kinds that may bring the joint the one that does; of fork and frame, where a row names both, the one at its end;
    of wheels and brakes those at its end; of kinds that stand twice, as the stoker's, the one at its place. A kind that
    the bike has not is left out.

    Args:
        build: The bike. [-]
        joint: One of its joints, as `joints_of` gives it. [-]

    Returns:
        Parts in the order of the row; the markings of these take part in the joint. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    by, row = joint.part, joint.row
    brings = set(build.stands_for(by))
    kinds = [kind for kind in row.parts if kind not in row.on or kind in brings]
    stands_at = {kind: build.tables.kinds[kind].end for kind in kinds if kind not in row.on}
    if by.side and by.side in stands_at.values():
        kinds = [kind for kind in kinds if stands_at.get(kind, "") in ("", by.side)]
    found: list[PartOn] = []
    for kind in kinds:
        there = [part for part in build.of_kind(kind) if _is_here(part, by)]
        if kind in row.elsewhere:
            there = [part for part in there if part.end != by.end] or there
        elif len(there) > 1:
            there = [part for part in there if part.end == by.end] or there
        found += [part for part in there if part not in found]
    return tuple(found)


def _is_here(part: PartOn, by: PartOn) -> bool:
    """Whether a part that may stand at either end stands where the part that brings the joint does."""
    return not part.end or not by.side or (part.side == by.side and (not by.end or part.end == by.end))
