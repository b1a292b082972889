"""A whole build: every rule that a change touches, wherever on the bike it applies."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from pinchbolt.engines.fit._decide import WORST_LAST, worst
from pinchbolt.engines.fit._fit_words import Looking, shown
from pinchbolt.engines.fit._inputs import RuleInput, asked, checked, is_unknown
from pinchbolt.engines.fit._language import Expression, Missing, RuleWrong, expression, truth
from pinchbolt.engines.fit._rule import ALLOWED_WORDS, judged
from pinchbolt.engines.fit._tables import Absent, FitTables, field_of, items_of, table_fault, text_of, view_of
from pinchbolt.engines.fit.fit_types import BuildVerdict, FitVerdict, FitWord, said_apart
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_NOT_INPUTS = frozenset({"place", "only"})
NOTHING_KNOWN = worded(
    "nothing is known that a fit rule looks at: read the parts' markings and write them on the build sheet"
)


@dataclass(frozen=True, slots=True)
class Place:
    """A rule at one place of the bike: how its inputs come from the facts of the build."""

    rule: object
    number: int
    place: str
    only: Expression | None
    inputs: Mapping[str, tuple[Expression, ...]]
    facts: frozenset[str]


def check_build(
    build: Mapping[str, object],
    tables: object,
    changed: Collection[str] | None = None,
    *,
    before: Mapping[str, object] | None = None,
    together: Collection[str] = (),
    moved: Collection[str] = (),
) -> BuildVerdict:
    """Return what every rule that the change touches says about this build.

    Args:
        build: What is known of the bike, by the names of its facts (body, cassette, rotor_front ...). Facts that no
            rule looks at may be among them. [units as the rules' `inputs` say, mostly mm, teeth and bar]
        tables: What `pinchbolt.reference` gives, or plain mappings `rules` and `interfaces`. [-]
        changed: The facts that a swap changes; only rules that look at one of them are run. None runs all. [-]
        before: The build before the swap. A doubt about facts that are all as they were is no doubt of the swap: it is kept
            apart, in `as_before`. [as `build`]
        together: Facts that came along with one part, and so met before: a doubt among them alone is kept apart as well. [-]
        moved: Every fact that the new parts have, known or not: what is not known of them is never as it was before. [-]

    Returns:
        The leading word (does not fit, else cannot tell, else fits with, else fits), every check, worst first, what
        would settle each doubt, and everything that is needed. [-]

    Raises:
        InputRefused: A value out of any sense, or a rule that cannot be run as it is written.

    Valid for: Facts as marked. A rule of which no input is known does not speak; a build of which nothing is known
        cannot be told.

    Example:
        >>> check_build({"seat_post": "27.2", "seat_tube": 31.6}, tables).shopping
        ('shim 27.2 to 31.6',)

    Source: The rules' own rows.
    """
    view = view_of(tables)
    facts = bare_facts(build)
    touched = changed_names(changed)
    checks: list[FitVerdict] = []
    stayed: list[FitVerdict] = []
    looked_at: set[str] = set()
    for place in places_of(view):
        looked_at |= place.facts
        if touched is None or touched & place.facts:
            found = checked_at(place, facts, view)
            if found is not None:
                old = before is not None and _is_as_before(
                    place, found, facts, before, frozenset(together), frozenset(moved)
                )
                (stayed if old else checks).append(found)
    if not checks:
        # Where nothing else can be told of the swap, what could not be told before is all there is to say.
        checks, stayed = stayed, []
    return replace(gathered(checks, touched, looked_at), as_before=tuple(stayed))


def _is_as_before(
    place: Place,
    found: FitVerdict,
    facts: Mapping[str, object],
    before: Mapping[str, object],
    together: frozenset[str],
    moved: frozenset[str],
) -> bool:
    """Whether what cannot be told here was so before the swap, on this bike or on the one that gave the part. A misfit never is."""
    if found.verdict is not FitWord.CANNOT_TELL:
        return False
    looked = (place.facts & facts.keys()) | set(found.missing)
    if looked <= together:
        return True
    # Two parts of which nobody knows a thing are not known to be alike in it.
    unread = (looked & moved) - facts.keys()
    return not unread and all(facts.get(name) == before.get(name) for name in looked)


def bare_facts(build: object) -> dict[str, object]:
    """The facts of a build that are known."""
    if not isinstance(build, Mapping):
        raise InputRefused(
            worded(
                "the build is no set of named facts: give each fact by its name, such as cassette. Name each."
            )
        )
    return {str(name): value for name, value in build.items() if not is_unknown(value)}


def gathered(
    checks: Sequence[FitVerdict], touched: frozenset[str] | None, looked_at: Collection[str]
) -> BuildVerdict:
    """The checks of a build as one verdict: the worst leads, every doubt is asked about."""
    ordered = sorted(checks, key=lambda check: -WORST_LAST.index(check.verdict))
    questions: dict[str, None] = {}
    for check in ordered:
        if check.verdict is FitWord.CANNOT_TELL:
            questions.update(dict.fromkeys(check.ask or (f"{check.name}: {check.because}",)))
    for name in sorted((touched or frozenset()) - frozenset(looked_at)):
        questions[
            f'no rule looks at "{name[:40]}": whether it fits is for the maker\'s sheet and a qualified mechanic'
        ] = None
    if not ordered and not questions:
        questions[NOTHING_KNOWN] = None
    words = [check.verdict for check in ordered] + ([FitWord.CANNOT_TELL] if questions else [])
    # The same at one place is one thing, at two places two.
    shopping = tuple(dict.fromkeys(need for check in ordered for need in check.needs))
    return BuildVerdict(worst(words), tuple(ordered), tuple(questions), said_apart(shopping))


def changed_names(changed: Collection[str] | None) -> frozenset[str] | None:
    """The names of the facts that change; None where all are asked about."""
    if changed is None:
        return None
    if (
        isinstance(changed, str)
        or not isinstance(changed, Collection)
        or not all(isinstance(n, str) for n in changed)
    ):
        raise InputRefused(
            worded("what changed is no list of facts: give the names of the facts that change, in a list.")
        )
    return frozenset(changed)


def places_of(view: FitTables) -> tuple[Place, ...]:
    """Every rule at every place, read once a view."""
    key = ("places", "")
    found = view.kept.get(key)
    if found is None:
        found = view.kept[key] = tuple(
            _place(rule, number, row)
            for rule in view.rules()
            for number, row in enumerate(items_of(field_of(rule, "at")), start=1)
        )
    return found  # type: ignore[return-value]


def _place(rule: object, number: int, row: object) -> Place:
    if not isinstance(row, Mapping):
        raise table_fault(
            text_of(rule, "id"),
            worded("at {number}", number=number),
            worded("is no table in braces"),
            worded("place, and each input by its name"),
        )
    try:
        only = expression(text_of(row, "only")) if field_of(row, "only") is not None else None
        inputs = {
            str(name): tuple(expression(str(text)) for text in items_of(told))
            for name, told in row.items()
            if name not in _NOT_INPUTS
        }
    except RuleWrong as wrong:
        raise table_fault(
            text_of(rule, "id"), worded("at {number}", number=number), str(wrong), ALLOWED_WORDS
        ) from None
    facts = frozenset(name for ways in inputs.values() for way in ways for name in way.names)
    return Place(
        rule, number, text_of(row, "place"), only, inputs, facts | (only.names if only else frozenset())
    )


def checked_at(place: Place, facts: dict[str, object], view: FitTables) -> FitVerdict | None:
    """What the rule says at this place; None where it does not apply."""
    if not place.facts.isdisjoint(facts):
        return _checked_at(place, facts, view)
    # Of most builds a rule knows nothing: what it says then is always the same.
    key = ("knows nothing", f"{text_of(place.rule, 'id')} {place.number}")
    if key not in view.kept:
        view.kept[key] = _checked_at(place, {}, view)
    return view.kept[key]  # type: ignore[return-value]


def _checked_at(place: Place, facts: dict[str, object], view: FitTables) -> FitVerdict | None:
    rule_id = text_of(place.rule, "id")
    run = Looking(view, facts, place.rule)
    wants = asked(place.rule, view)
    known: dict[str, object] = {}
    lacking: dict[str, frozenset[str]] = {}
    refused: dict[str, str] = {}
    present = False
    try:
        applies = truth(place.only.run(run)) if place.only else True
        if applies is False:
            return None
        for name, want in wants.items():
            value, missing = _found(place.inputs.get(name, ()), run)
            lacking[name] = missing
            present = present or (value is not None and any(way.names for way in place.inputs.get(name, ())))
            if value is not None:
                lacking[name] = _take(want, value, place.inputs[name], known, refused, facts)
    except RuleWrong as wrong:
        raise table_fault(
            rule_id, worded("at {number}", number=place.number), str(wrong), ALLOWED_WORDS
        ) from None
    if not present:
        return None
    verdict = judged(place.rule, wants, known, view)
    return _told(verdict, place, wants, lacking, refused, applies)


def what_is_known(place: Place, facts: Mapping[str, object], view: FitTables) -> dict[str, object]:
    """The inputs of a rule at this place that the build knows, as the rule may use them; a word that no row has is not known."""
    run = Looking(view, dict(facts), place.rule)
    wants = asked(place.rule, view)
    known: dict[str, object] = {}
    for name, want in wants.items():
        value, _ = _found(place.inputs.get(name, ()), run)
        if value is not None:
            try:
                known[name] = checked(want, value)
            except InputRefused:
                continue
    return known


def _found(ways: tuple[Expression, ...], run: Looking) -> tuple[object, frozenset[str]]:
    """The first way that gives a value; else None and the facts that the first way wants."""
    wanted: frozenset[str] = frozenset()
    for number, way in enumerate(ways):
        value = way.run(run)
        if not isinstance(value, Missing | Absent) and not is_unknown(value):
            return value, frozenset()
        if number == 0:
            wanted = value.names if isinstance(value, Missing) and value.names else way.names
    return None, wanted


def _take(
    want: RuleInput, value: object, ways: tuple[Expression, ...], known: dict[str, object], refused: dict[str, str],
    facts: Mapping[str, object],
) -> frozenset[str]:  # fmt: skip
    """Put *value* among the known inputs; give back the facts that it came from.

    A word that no row has is a doubt of this rule; a senseless figure is refused.
    """
    names = frozenset(name for way in ways for name in way.names if name in facts) or frozenset({want.input})
    try:
        known[want.input] = checked(want, value)
    except InputRefused as no:
        if want.kind not in ("of", "one_of", "text") or not isinstance(value, str):
            raise InputRefused(no.sentence, dict.fromkeys(sorted(names), no.sentence)) from None
        refused[want.input] = no.sentence
    return names


def _told(
    verdict: FitVerdict, place: Place, wants: Mapping[str, RuleInput], lacking: Mapping[str, frozenset[str]],
    refused: Mapping[str, str], applies: object,
) -> FitVerdict:  # fmt: skip
    """The verdict in the words of the build: facts for inputs, the place, and what could not be read."""
    missing: dict[str, None] = {}
    ask: dict[str, None] = {}
    where = f" ({place.place})" if place.place else ""
    because = verdict.because
    for name in verdict.missing:
        if name in refused:
            because = because.replace(f"{wants[name].name} is not known", refused[name].rstrip("."))
        missing.update(dict.fromkeys(sorted(lacking.get(name) or {name})))
        ask[f"{wants[name].name}{where}: {wants[name].ask or worded('look at the part')}"] = None
    if isinstance(applies, Missing):
        missing.update(dict.fromkeys(sorted(applies.names)))
        names = shown(sorted(applies.names))
        ask[f"whether this applies here{where}: {names.replace('_', ' ')}"] = None
        verdict = replace(verdict, verdict=FitWord.CANNOT_TELL, with_items=(), work=(), parts=())
    return replace(verdict, because=because, missing=tuple(missing), ask=tuple(ask), place=place.place)
