"""Every word that names a kind of part, a fact, a feature, a place or a kind of bike is a row."""

from collections.abc import Iterable, Iterator

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known, dangling
from pinchbolt.reference.files import INTERFACES
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.reference.rows.kinds import PartFact, PartKind
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values.wording import worded

# Places that parts have on every bike, and the most letters that a record holds of one.
_USUAL_PLACES = ("", "front", "rear")
PLACE_LETTERS = 20


def words(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every word that is no row."""
    yield from _kinds(tables, known)
    yield from _facts(tables)
    yield from _rows_on_kinds(tables, known)
    yield from _bikes(tables, known)
    yield from _features(tables)


def _kinds(tables: Tables, known: Known) -> Iterator[Complaint]:
    for kind in tables.kinds.values():
        for field in ("stands_for", "wears", "ruins"):
            yield from dangling(known, kind, field, getattr(kind, field), "kind")
        yield from dangling(known, kind, "facts", kind.facts, "fact")
        if kind.id in kind.stands_for:
            yield Complaint(kind, "stands_for", worded("names itself"), worded("other kinds"))
        for other in kind.stands_for:
            if (stands := tables.kinds.get(other)) and stands.stands_for:
                yield Complaint(
                    kind,
                    "stands_for",
                    worded('names "{other}"', other=other),
                    worded("a kind that stands for no other"),
                )
        if kind.fitted_by:
            ends = ("front", "rear") if "{end}" in kind.fitted_by else ("",)
            names = [kind.fitted_by.replace("{end}", end) for end in ends]
            yield from dangling(known, kind, "fitted_by", names, "operation", "block")
        yield from _station(kind, known)
        yield from _settled(tables, kind)
        if kind.id in tables.features:
            yield Complaint(kind, "id", worded('is "{id}"', id=kind.id), worded("a word that is no feature"))


def _station(kind: PartKind, known: Known) -> Iterator[Complaint]:
    if kind.fitted_to == "supply":
        return
    if "{end}" in kind.station and kind.ends == "one":
        yield Complaint(
            kind,
            "station",
            worded('is "{station}"', station=kind.station),
            worded("a place without {end}: there is one only"),
        )
    yield from dangling(known, kind, "station", {kind.station_at(end) for end in ("front", "rear")}, "place")


def _settled(tables: Tables, kind: PartKind) -> Iterator[Complaint]:
    for name, value in (kind.always or {}).items():
        row = tables.facts.get(name)
        if row is None or name not in kind.facts:
            yield Complaint(
                kind, "always", worded('settles "{name}"', name=name), worded("one of its own facts")
            )
        elif row.one_of and word_of(value) not in {word_of(one) for one in row.one_of}:
            yield Complaint(
                kind,
                "always",
                worded('says {name} is "{value}"', name=name, value=value),
                worded("one of {listed}", listed=_listed(row.one_of)),
            )
    names: dict[str, str] = {}
    for name in kind.facts:
        if (row := tables.facts.get(name)) is not None:
            in_build = row.name_in_build(kind.end or "front")
            if in_build and in_build in names:
                yield Complaint(
                    kind,
                    "facts",
                    worded(
                        '"{name}" and "{names}" are both {in_build}',
                        name=name,
                        names=names[in_build],
                        in_build=in_build,
                    ),
                    "one",
                )
            names[in_build] = name


def _facts(tables: Tables) -> Iterator[Complaint]:
    for fact in tables.facts.values():
        given = [fact.number, fact.whole, fact.of or None, fact.one_of or None, fact.flag or None]
        if sum(one is not None for one in (*given, fact.text or None)) > 1:
            yield Complaint(
                fact, "one_of", worded("is given beside another form"), worded("one form of answer")
            )
        if fact.of and fact.of not in INTERFACES:
            yield Complaint(
                fact, "of", worded('is "{of}"', of=fact.of), worded("a kind of row in interfaces.toml")
            )


def _rows_on_kinds(tables: Tables, known: Known) -> Iterator[Complaint]:
    for limit in tables.limits.values():
        yield from dangling(known, limit, "on", limit.on, "kind")
        yield from dangling(known, limit, "station", filter(None, [limit.station]), "place")
        yield from _brought(limit, limit.on)
    for joint in tables.joints.values():
        yield from dangling(known, joint, "on", joint.on, "kind")
        yield from dangling(known, joint, "parts", joint.parts, "kind")
        yield from dangling(known, joint, "if_unknown", joint.if_unknown, "fact")
        yield from _brought(joint, joint.on)
    for price in tables.prices.values():
        yield from dangling(known, price, "part", [price.part], "kind")
        yield from dangling(known, price, "if_unknown", price.if_unknown, "fact")
    for proposal in tables.proposals.values():
        yield from dangling(known, proposal, "replaces", proposal.replaces, "kind")
    for place in tables.walk_round.values():
        yield from dangling(known, place, "spot", [place.spot], "corner")
    for caution in tables.cautions.values():
        yield from dangling(known, caution, "joints", (*caution.joints, *caution.always_at), "joint")


def _brought(row: Row, on: tuple[str, ...]) -> Iterator[Complaint]:
    if not on:
        yield Complaint(row, "on", worded("is empty"), worded("the kinds of part that it belongs to"))


def _bikes(tables: Tables, known: Known) -> Iterator[Complaint]:
    for bike_kind in tables.bike_kinds.values():
        yield from dangling(known, bike_kind, "use", [bike_kind.use], "use")
        for place, kinds in (bike_kind.again or {}).items():
            yield from dangling(known, bike_kind, worded("again ({place})", place=place), kinds, "kind")
            if place in _USUAL_PLACES or len(place) > PLACE_LETTERS:
                allowed = worded(
                    "a place that no part has without it, {place_letters} letters at most",
                    place_letters=PLACE_LETTERS,
                )
                yield Complaint(bike_kind, "again", worded('names "{place}"', place=place), allowed)
    for template in tables.templates.values():
        yield from dangling(known, template, "kind", [template.kind], "bike_kind")
        yield from dangling(known, template, "use", [template.use], "use")
        for part in template.parts:
            kind = tables.kinds.get(part.part) or tables.kinds.get(part.part.rpartition(" ")[0])
            at = worded("parts ({part})", part=part.part)
            if kind is None:
                yield Complaint(
                    template, at, worded("is no kind of part"), worded("an id that stands under [[kind]]")
                )
                continue
            for facts in (part.facts or {}, *(part.by_speeds or {}).values()):
                for name, value in facts.items():
                    yield from _told(tables, template, at, kind, name, value, known)


def _told(
    tables: Tables, row: Row, at: str, kind: PartKind, name: str, value: object, known: Known
) -> Iterator[Complaint]:
    """A fact that a template tells must be one of the kind, and its value one that the fact allows."""
    fact = tables.facts.get(name)
    if fact is None or name not in kind.facts:
        yield Complaint(
            row,
            at,
            worded('holds the fact "{name}"', name=name),
            worded("one of {listed}", listed=_listed(kind.facts) or worded("none")),
        )
    elif fact.of:
        yield from dangling(known, row, f"{at} {name}", [value], fact.of)
    elif allowed := _refused(fact, value):
        yield Complaint(row, f"{at} {name}", worded('is "{value}"', value=value), allowed)


def _refused(fact: PartFact, value: object) -> str:
    """What is allowed, where *value* is not."""
    if fact.one_of:
        words = {word_of(one) for one in fact.one_of}
        return "" if word_of(value) in words else worded("one of {listed}", listed=_listed(fact.one_of))
    if fact.flag:
        return "" if isinstance(value, bool) else worded("true or false")
    span = fact.number or fact.whole
    if span is None:
        return ""
    fits = isinstance(value, int | float) and not isinstance(value, bool) and span[0] <= value <= span[1]
    return (
        ""
        if fits
        else worded("{low:g} to {high:g} {unit}", low=span[0], high=span[1], unit=fact.unit).rstrip()
    )


def _features(tables: Tables) -> Iterator[Complaint]:
    above: set[str] = set()
    for feature in tables.features.values():
        if bool(feature.any) == bool(feature.all):
            yield Complaint(
                feature, "any", worded("and all are both given or both empty"), worded("one of the two")
            )
        for one in (*feature.any, *feature.all):
            if one.what in tables.features and one.what not in above:
                yield Complaint(
                    feature,
                    "any",
                    worded('names "{what}"', what=one.what),
                    worded("features that stand above it"),
                )
        above.add(feature.id)


def _listed(values: Iterable[object]) -> str:
    return ", ".join(word_of(value) for value in values)
