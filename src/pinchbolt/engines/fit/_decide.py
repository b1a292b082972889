"""Running the rows of `decide`: the first whose condition holds speaks; one that may hold is never passed over."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pinchbolt.engines.fit._fit_words import Looking, is_number
from pinchbolt.engines.fit._language import Missing, RuleWrong, expression, filled, truth
from pinchbolt.engines.fit._tables import field_of, items_of, table_fault, text_of
from pinchbolt.engines.fit.fit_types import FitWord
from pinchbolt.values.wording import worded

# From best to worst for one bike: what cannot be told may still turn out badly, so it leads over what needs a spacer.
WORST_LAST = (FitWord.FITS, FitWord.FITS_WITH, FitWord.CANNOT_TELL, FitWord.DOES_NOT_FIT)
GOOD = frozenset({FitWord.FITS, FitWord.FITS_WITH})
# What a need is: bought beside the parts where nothing is said, work or a word, or a part of the bike itself.
SORTS = ("", "work", "part")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one row, or all rows together, say."""

    verdict: FitWord
    with_items: tuple[str, ...] = ()
    because: tuple[str, ...] = ()
    missing: frozenset[str] = frozenset()
    value: float | None = None
    work: frozenset[str] = frozenset()
    parts: frozenset[str] = frozenset()


def worst(words: Sequence[FitWord]) -> FitWord:
    """The worst of these verdicts; fits where there are none."""
    return max(words, key=WORST_LAST.index, default=FitWord.FITS)


def decided(rule_id: str, rows: object, run: Looking) -> Outcome:
    """What the rows say together.

    A row marked `go_on` adds what it says and lets the next rows speak. A row whose condition looks at a missing fact
    may or may not hold; then both ways are followed, and only what is the same on both counts as told.
    """
    added: list[Outcome] = []
    possible: list[Outcome] = []
    unknown = Missing()
    for place, row in enumerate(items_of(rows), start=1):
        where = worded("decide {place}", place=place)
        try:
            condition = (
                truth(expression(text_of(row, "when")).run(run))
                if field_of(row, "when") is not None
                else True
            )
            if condition is False:
                continue
            outcome = _said(row, run)
        except RuleWrong as wrong:
            raise table_fault(
                rule_id, where, str(wrong), worded("the words of the method page on fit")
            ) from None
        if isinstance(condition, Missing):
            unknown = unknown.with_(condition)
            possible.append(outcome)
        elif field_of(row, "go_on") is True:
            added.append(outcome)
        else:
            return _together(added, possible, outcome, unknown)
    raise table_fault(
        rule_id,
        "decide",
        worded("has no last row without a condition"),
        worded("a row that speaks when no other does"),
    )


def _said(row: object, run: Looking) -> Outcome:
    word = text_of(row, "verdict")
    if word not in {verdict.value for verdict in FitWord}:
        raise RuleWrong(worded('has the verdict "{word}"', word=word))
    items = tuple(filled(str(item), run) for item in items_of(field_of(row, "with")))
    because = tuple(filled(str(item), run) for item in items_of(field_of(row, "because")))
    missing: frozenset[str] = frozenset()
    if field_of(row, "when") is not None:
        # A condition that asks whether a fact is known tells which fact would settle the row.
        looked_at = [run.names.get(name) for name in expression(text_of(row, "when")).asked]
        missing = frozenset(fact for value in looked_at if isinstance(value, Missing) for fact in value.names)
    value = None
    if field_of(row, "value") is not None:
        found = expression(text_of(row, "value")).run(run)
        value = float(found) if is_number(found) else None  # type: ignore[arg-type]
    sort = text_of(row, "is")
    if sort not in SORTS:
        raise RuleWrong(
            worded(
                'says of its need that it is "{sort}", not one of {filter}',
                sort=sort,
                filter=", ".join(filter(None, SORTS)),
            )
        )
    work = frozenset(items) if sort == "work" else frozenset()
    return Outcome(
        FitWord(word),
        items,
        because,
        missing,
        value,
        work,
        frozenset(items) if sort == "part" else frozenset(),
    )


def _together(added: list[Outcome], possible: list[Outcome], last: Outcome, unknown: Missing) -> Outcome:
    certain = joined([*added, last])
    words = {outcome.verdict for outcome in (certain, *possible)}
    if not possible or words == {certain.verdict}:
        everything = joined([certain, *possible]) if certain.verdict is FitWord.FITS_WITH else certain
        missing = certain.missing | (
            unknown.names if possible and certain.verdict is FitWord.FITS_WITH else frozenset()
        )
        return replace(everything, verdict=certain.verdict, missing=missing, value=certain.value)
    if words <= GOOD:
        both = joined([certain, *possible])
        return replace(
            both, verdict=FitWord.FITS_WITH, missing=both.missing | unknown.names, value=certain.value
        )
    gaps = unknown.gaps
    if certain.verdict in GOOD and certain.because + certain.with_items:
        # What holds if the missing fact stands in no way: half an answer is better than none.
        needs = f" {worded(' and ').join(certain.with_items)}" if certain.with_items else ""
        gaps = (
            *gaps,
            worded("where that stands in no way it {value}{needs}", value=certain.verdict.value, needs=needs),
        )
    return Outcome(FitWord.CANNOT_TELL, (), gaps, unknown.names, None)


def joined(outcomes: Sequence[Outcome]) -> Outcome:
    """Several outcomes as one: the worst verdict, everything that is needed, every why."""
    verdict = worst([outcome.verdict for outcome in outcomes])
    with_items = tuple(dict.fromkeys(item for outcome in outcomes for item in outcome.with_items))
    # Of a misfit the misfit alone is the reason; what is well, or not known, beside it is not.
    why_so = [one for one in outcomes if verdict is not FitWord.DOES_NOT_FIT or one.verdict is verdict]
    because = tuple(dict.fromkeys(why for outcome in why_so for why in outcome.because))
    missing = frozenset(name for outcome in outcomes for name in outcome.missing)
    value = next((outcome.value for outcome in outcomes if outcome.value is not None), None)
    work = frozenset(item for outcome in outcomes for item in outcome.work)
    parts = frozenset(item for outcome in outcomes for item in outcome.parts)
    return Outcome(verdict, with_items, because, missing, value, work, parts)
