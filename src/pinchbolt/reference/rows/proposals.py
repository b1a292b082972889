"""What a finding asks for: from the limit that was read to an operation and its usual parts."""

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict


@entry
class Proposal(Row):
    """For readings of `limits` from verdict `from_verdict` on, where `when` holds: the operation and its parts by kind.

    `replaces` names kinds of part whose life on the bike ends with it; empty where nothing is replaced. `words` say
    why.
    """

    id: str
    limits: tuple[str, ...]
    from_verdict: Verdict
    operation: str
    when: tuple[Condition, ...] = ()
    parts: tuple[str, ...] = ()
    replaces: tuple[str, ...] = ()
    words: str
