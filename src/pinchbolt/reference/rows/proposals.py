"""What a finding asks for: from the limit that was read to an operation and its usual parts."""

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict


@entry
class Proposal(Row):
    """For readings of `limits` from verdict `from_verdict` on, where `when` holds: the operation and its parts by kind.

    `past`: from this reading on alone, in the unit of the limits. `within_days`: of a verdict under "next visit" only where
    the forecast is likelier to reach the limit in so many days than not. `parts` stand in the place of the operation's own; empty
    where those will do. `replaces` names kinds of part whose life on the bike ends with it. `refusal` is what is not done
    here; a row with neither operation nor refusal is advice. A row that `mends` nothing is a look: the finding stands.
    `words` say why.
    """

    id: str
    limits: tuple[str, ...]
    from_verdict: Verdict
    operation: str = ""
    refusal: str = ""
    mends: bool = True
    past: float | None = None
    within_days: int | None = None
    when: tuple[Condition, ...] = ()
    parts: tuple[str, ...] = ()
    replaces: tuple[str, ...] = ()
    words: str
