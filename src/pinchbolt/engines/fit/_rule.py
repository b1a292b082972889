"""One rule on one set of inputs."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from pinchbolt.engines.fit._decide import GOOD, Outcome, decided, joined
from pinchbolt.engines.fit._fit_words import Looking, equal, shown
from pinchbolt.engines.fit._inputs import RuleInput, asked, checked, in_words, is_unknown
from pinchbolt.engines.fit._language import Missing, RuleWrong, expression, filled, steps, truth
from pinchbolt.engines.fit._tables import (
    FILE_INTERFACES,
    FILE_RULES,
    FitTables,
    field_of,
    items_of,
    row_name,
    table_fault,
    text_of,
    view_of,
)
from pinchbolt.engines.fit.fit_types import FitVerdict, FitWord
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded

ALLOWED_WORDS = worded("the words of the method page on fit")


def run_rule(rule_id: str, given: Mapping[str, object], tables: object) -> FitVerdict:
    """Return what one rule says about the parts in *given*.

    Args:
        rule_id: The rule's id in the table. [-]
        given: What is known, by the rule's own input names; "cannot tell", nothing and an empty text are not known.
            [units as the rule's `inputs` say, mostly mm, teeth and bar]
        tables: What `pinchbolt.reference` gives, or plain mappings `rules` and `interfaces`. [-]

    Returns:
        The verdict with what it needs, why, and which inputs are missing. [-]

    Raises:
        NotFound: No rule of that id.
        InputRefused: A value out of any sense, an id that no table row has, an input that the rule does not ask for,
            or a rule that cannot be run as it is written (then file, row and field are named).

    Valid for: Parts as marked and unworn. A marking on the part, and its maker's word, win over the table.

    Example:
        >>> run_rule("seat-post", {"post": 27.0, "tube": 27.2}, tables).verdict.value
        'does not fit'

    Source: The rule's own row.
    """
    view = view_of(tables)
    rule = view.rule(rule_id)
    wants = asked(rule, view)
    if not isinstance(given, Mapping):
        raise InputRefused(
            worded(
                'what is given to the rule "{rule_id}" is no set of named values: {wants}. Name each.',
                rule_id=rule_id,
                wants=", ".join(wants),
            )
        )
    for name in given:
        if name not in wants:
            sentence = worded(
                'the rule "{rule_id}" does not ask for "{name}": {wants}. Use these names.',
                rule_id=rule_id,
                name=str(name)[:40],
                wants=", ".join(wants),
            )
            raise InputRefused(sentence, {str(name): sentence})
    known = {name: checked(wants[name], value) for name, value in given.items() if not is_unknown(value)}
    return judged(rule, wants, known, view)


def judged(
    rule: object, wants: Mapping[str, RuleInput], known: Mapping[str, object], view: FitTables
) -> FitVerdict:
    """The verdict on inputs that are already checked; what is not in *known* is missing."""
    rule_id = text_of(rule, "id")
    names: dict[str, object] = {name: known.get(name, Missing(frozenset({name}))) for name in wants}
    run = Looking(view, names, rule)
    _take_steps(rule_id, rule, run)
    _refuse_nonsense(rule_id, rule, run)
    needed = [str(name) for name in items_of(field_of(rule, "needs")) if str(name) not in known]
    run_form = FORMS.get(text_of(rule, "form"), _no_form)
    outcome = run_form(rule_id, rule, run) if not needed or run_form is _by_rows else Outcome(FitWord.FITS)
    if needed:
        # Both ways of what is missing were followed: a misfit that stands on each of them is one all the same.
        certain = outcome.verdict is FitWord.DOES_NOT_FIT and known
        outcome = replace(outcome if certain else Outcome(FitWord.CANNOT_TELL), missing=frozenset(needed))
    return _verdict(rule, wants, outcome, run)


def _take_steps(rule_id: str, rule: object, run: Looking) -> None:
    try:
        for name, step in steps(text_of(rule, "expression")):
            run.names[name] = step.run(run)
    except RuleWrong as wrong:
        raise table_fault(rule_id, "expression", str(wrong), ALLOWED_WORDS) from None


def _refuse_nonsense(rule_id: str, rule: object, run: Looking) -> None:
    for place, row in enumerate(items_of(field_of(rule, "refuse")), start=1):
        try:
            if truth(expression(text_of(row, "when")).run(run)) is True:
                sentence = filled(text_of(row, "words"), run)
                raise InputRefused(sentence, {text_of(row, "input"): sentence})
        except RuleWrong as wrong:
            raise table_fault(
                rule_id, worded("refuse {place}", place=place), str(wrong), ALLOWED_WORDS
            ) from None


def _no_form(rule_id: str, rule: object, _run: Looking) -> Outcome:
    raise table_fault(
        rule_id,
        "form",
        worded('is "{text_of}"', text_of=text_of(rule, "form")),
        worded("pair, equal, formula or all"),
    )


def _by_rows(rule_id: str, rule: object, run: Looking) -> Outcome:
    return decided(rule_id, field_of(rule, "decide"), run)


def _pair(rule_id: str, rule: object, run: Looking) -> Outcome:
    kind = text_of(rule, "table")
    if not run.tables.has_kind(kind):
        raise table_fault(
            rule_id, "table", worded('is "{kind}"', kind=kind), worded("a kind of row of interfaces.toml")
        )
    names = [str(name) for name in items_of(field_of(rule, "needs"))]
    for row in run.tables.rows(kind):
        if all(equal(field_of(row, name), run.names[name]) for name in names):
            run.seen(kind, row)
            return _pair_row(rule_id, row)
    if text_of(rule, "same") and all(equal(run.names[a], run.names[b]) for a, b in pairwise(names)):
        return Outcome(FitWord(text_of(rule, "same")))
    if field_of(rule, "decide"):
        return _by_rows(rule_id, rule, run)
    pair = worded(" and ").join(shown(run.names[name]) for name in names)
    if text_of(rule, "unlisted") == FitWord.DOES_NOT_FIT.value:
        return Outcome(
            FitWord.DOES_NOT_FIT,
            because=(worded("{pair} are not among the pairs that go together", pair=pair),),
        )
    return Outcome(FitWord.CANNOT_TELL, because=(worded("the pair {pair} is not in the table", pair=pair),))


def _pair_row(rule_id: str, row: object) -> Outcome:
    word = text_of(row, "verdict")
    if word not in {verdict.value for verdict in FitWord}:
        raise table_fault(
            rule_id,
            "table",
            worded('leads to a row with the verdict "{word}"', word=word),
            worded("fits, fits with, does not fit"),
        )
    because = tuple(str(item) for item in items_of(field_of(row, "because")))
    items = tuple(str(item) for item in items_of(field_of(row, "with")) if item)
    behind = [float(str(item)) for item in items_of(field_of(row, "behind"))]
    items += tuple(worded("{mm} mm spacer behind", mm=_mm(width)) for width in behind)
    if behind and not any(because):
        because = (worded("the body is {mm} mm longer than this cassette", mm=_mm(sum(behind))),)
    return Outcome(FitWord(word), items, tuple(why for why in because if why))


def _mm(width: float) -> str:
    return f"{width:.2f}".rstrip("0").ljust(3, "0")


def _all(rule_id: str, rule: object, run: Looking) -> Outcome:
    outcomes = [_by_rows(rule_id, rule, run)]
    for place, row in enumerate(items_of(field_of(rule, "runs")), start=1):
        other = run.tables.rule(text_of(row, "rule"))
        wants = asked(other, run.tables)
        known: dict[str, object] = {}
        renamed: dict[str, frozenset[str]] = {}
        for name in wants:
            text = field_of(row, name)
            if text is None:
                continue
            try:
                piece = expression(str(text))
                value = piece.run(run)
            except RuleWrong as wrong:
                raise table_fault(
                    rule_id, worded("runs {place}", place=place), str(wrong), ALLOWED_WORDS
                ) from None
            renamed[name] = piece.names
            if not isinstance(value, Missing):
                known[name] = checked(wants[name], value)
        if known:
            part = judged(other, wants, known, run.tables)
            missing = frozenset(own for name in part.missing for own in renamed.get(name, frozenset()))
            because = (part.because,) if part.because else ()
            work, parts = frozenset(part.work), frozenset(part.parts)
            outcomes.append(Outcome(part.verdict, part.with_items, because, missing, None, work, parts))
    return joined(outcomes)


FORMS = {"pair": _pair, "equal": _by_rows, "formula": _by_rows, "all": _all}


def _verdict(rule: object, wants: Mapping[str, RuleInput], outcome: Outcome, run: Looking) -> FitVerdict:
    missing = tuple(name for name in wants if name in outcome.missing)
    because = list(outcome.because)
    if outcome.verdict is not FitWord.DOES_NOT_FIT:
        because += [worded("{name} is not known", name=wants[name].name) for name in missing]
    because = because or [_given(wants, run)]
    good = outcome.verdict in GOOD
    return FitVerdict(
        rule=text_of(rule, "id"),
        name=text_of(rule, "name"),
        verdict=outcome.verdict,
        with_items=outcome.with_items if good else (),
        because="; ".join(because),
        missing=missing,
        value=outcome.value,
        reasons=_reasons(rule, wants, run),
        ask=tuple(f"{wants[name].name}: {wants[name].ask or worded('look at the part')}" for name in missing),
        work=tuple(item for item in outcome.with_items if item in outcome.work) if good else (),
        parts=tuple(item for item in outcome.with_items if item in outcome.parts) if good else (),
    )


def _given(wants: Mapping[str, RuleInput], run: Looking) -> str:
    """The parts themselves as the reason, where a row of the table gives none."""
    known = [
        f"{want.name.removeprefix('the ')}: {in_words(want, run.names[name], run.tables)}"
        for name, want in wants.items()
        if not isinstance(run.names[name], Missing)
    ]
    return "; ".join(known)


def _reasons(rule: object, wants: Mapping[str, RuleInput], run: Looking) -> tuple[Reason, ...]:
    reasons = [
        Reason(text_of(rule, "words"), f"{FILE_RULES}: {text_of(rule, 'id')}", text_of(rule, "source"))
    ]
    for kind, row in run.used:
        words = (
            text_of(row, "plain") or text_of(row, "note") or text_of(row, "because") or row_name(kind, row)
        )
        reasons.append(Reason(words, f"{FILE_INTERFACES}: {row_name(kind, row)}", text_of(row, "source")))
    worked = [
        f"{name} = {shown(run.names[name])}"
        for name, _ in steps(text_of(rule, "expression"))
        if isinstance(run.names[name], int | float)
    ]
    if worked:
        reasons.append(
            Reason(
                "; ".join(worked),
                worded(
                    "{file_rules}: {text_of}, expression", file_rules=FILE_RULES, text_of=text_of(rule, "id")
                ),
                "computed",
            )
        )
    for name, want in wants.items():
        if want.assumed and isinstance(run.names[name], Missing):
            row = worded(
                "{file_rules}: {text_of}, inputs.{name}",
                file_rules=FILE_RULES,
                text_of=text_of(rule, "id"),
                name=name,
            )
            reasons.append(
                Reason(
                    worded(
                        "assumed, because {name} is not known: {assumed}",
                        name=want.name,
                        assumed=want.assumed,
                    ),
                    row,
                    "assumption",
                )
            )
    return tuple(reasons)
