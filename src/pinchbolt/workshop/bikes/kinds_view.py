"""The kinds of part that the tables know: what each can be asked, which limits are read on it, which joints it brings."""

from dataclasses import dataclass

from pinchbolt.reference.rows.condition import word_of
from pinchbolt.reference.rows.kinds import PartKind
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart, kind_named, questions_of_kind
from pinchbolt.workshop.bikes.why_listed import in_words
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class LimitOfKind:
    """A limit that is read on a kind: at `warn` it is watched, at `limit` it is over, in `unit`; `when` must all hold."""

    limit: str
    words: str
    unit: str
    direction: str
    warn: float | None
    at: float | str | None
    end: str
    when: tuple[str, ...]
    read_in: str
    source: str
    certain: str


@dataclass(frozen=True, slots=True)
class JointOfKind:
    """A joint that a kind brings where `when` holds; torque in N·m, of which the marking on the part wins."""

    joint: str
    words: str
    low_n_m: float
    high_n_m: float
    end: str
    when: tuple[str, ...]
    source: str
    certain: str


@dataclass(frozen=True, slots=True)
class KindView:
    """A kind of part. `settled` are facts that it always has; `read_as`: it is read as these too, unless one stands apart.

    `own`: the workshop's own tables gave the row or changed it.
    """

    kind: str
    words: str
    ends: str
    fitted_to: str
    rides: str
    facts: tuple[QuestionOfPart, ...]
    settled: dict[str, str]
    read_as: tuple[str, ...]
    limits: tuple[LimitOfKind, ...]
    joints: tuple[JointOfKind, ...]
    own: bool


def kinds_view(kind: str = "") -> tuple[KindView, ...]:
    """Return every kind of part that can stand on a build sheet, or the one that is named.

    Raises:
        InputRefused: No such kind, or one that stands on no build sheet.
    """
    if kind.strip():
        return (_seen(kind_named(kind)),)
    return tuple(_seen(row) for row in tables().kinds.values() if row.fitted_to != "supply")


def _seen(row: PartKind) -> KindView:
    known = tables()
    return KindView(
        kind=row.id,
        words=row.words,
        ends=row.ends,
        fitted_to=row.fitted_to,
        rides=row.rides,
        facts=questions_of_kind(row),
        settled={name: word_of(value) for name, value in (row.always or {}).items()},
        read_as=row.stands_for,
        limits=tuple(
            LimitOfKind(
                one.id, one.quantity, one.unit, one.direction, one.warn, one.limit, one.end,
                tuple(in_words(condition) for condition in one.when), one.read_in, one.source, one.certain,
            )
            for one in known.limits_on.get(row.id, ())
        ),
        joints=tuple(
            JointOfKind(
                one.id, one.name, one.low, one.high, one.end,
                tuple(in_words(condition) for condition in one.when), one.source, one.certain,
            )
            for one in known.joints_on.get(row.id, ())
        ),
        own=row.from_shop,
    )  # fmt: skip
