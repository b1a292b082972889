"""Which piece of a question speaks of which input: the cut that leaves the least unexplained."""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache

from pinchbolt.engines.fit._inputs import RuleInput
from pinchbolt.engines.fit._sayings import RuleSayings, SaidValue
from pinchbolt.engines.fit._tokens import ITS_OWN, SaidWord, in_mm

MOST_VALUES, _LONGEST = 6, 7
# What a token is worth: as the value of an input, as a hint, as the input's noun, as a word of the rule, as nothing.
_VALUE, _HINT, _NOUN, _TOPIC, _NOTHING = 1.0, 0.35, 0.6, 0.2, -0.4
# A phrase by which people ask for the rule, said whole: for each of its words.
_PHRASE = 0.25
# Each piece costs something, so that two are not made of one; a figure or word without the noun of its input is worth less, and so
# is a noun that stands alone and is not the first that the part is called.
_PIECE, _BARE_FIGURE, _STRAY_FIGURE, _STRAY_WORD, _SECOND_NOUN = 0.25, 0.55, 0.3, 0.5, 0.6
# A piece that runs over a joining word, and one that stands before another that is said first as a rule, cost this.
_OVER_A_JOINT, _OUT_OF_ORDER = 0.6, 0.3
# Chainrings are written with a slash, so 50/34 is of rings whatever stands beside it. A dash is no such sign: 34-50 is of rings
# where they are named beside it, else rather of sprockets.
_SLASHED, _DASHED = 2.0, 0.5


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of the question: the input it speaks of, the values that were meant (none: only named), and its worth."""

    input: str
    values: tuple[object, ...]
    worth: float


@dataclass(frozen=True, slots=True)
class Cut:
    """A whole question cut into pieces, and what the cut explains of it."""

    pieces: tuple[Piece, ...]
    worth: float


def best_cut(tokens: Sequence[SaidWord], rule: RuleSayings) -> Cut:
    """The cut of the question by this rule that explains most; each input is spoken of once at most."""
    # An input without nouns is not heard: it is of the bike, and no figure of a question is taken for it.
    names = [name for name in rule.wants if rule.nouns[name]]
    place = {name: number for number, name in enumerate(names)}
    spanned, fixed = _ranges(tokens, rule)
    segments = {start: list(_segments(tokens, start, names, rule, spanned)) for start in range(len(tokens))}

    @cache
    def rest(at: int, used: int) -> Cut:
        if at == len(tokens):
            return Cut((), 0.0)
        token = tokens[at]
        after = rest(at + 1, used)
        alone = 0.0 if at in spanned or token.beside else _TOPIC if token.text in rule.topic else _NOTHING
        best = Cut(after.pieces, after.worth + alone)
        for end, piece in segments[at]:
            bit = 1 << place[piece.input]
            if used & bit:
                continue
            worth = piece.worth - _OUT_OF_ORDER * _before_its_turn(piece.input, used, place, rule)
            if worth <= 0:
                continue
            after = rest(end, used | bit)
            if worth + after.worth > best.worth + 1e-9:
                best = Cut((piece, *after.pieces), worth + after.worth)
        return best

    taken = sum(1 << place[piece.input] for piece in fixed)
    found = rest(0, taken)
    said = {token.text for token in tokens}
    phrase = max((len(one) for one in rule.asked if len(one) > 1 and one <= said), default=0)
    return Cut((*fixed, *found.pieces), found.worth + sum(piece.worth for piece in fixed) + _PHRASE * phrase)


def _before_its_turn(name: str, used: int, place: Mapping[str, int], rule: RuleSayings) -> bool:
    """Whether an input like it, that is said after it, was spoken of already."""
    want = rule.wants[name]
    later = (
        [other for other in rule.needs[rule.needs.index(name) + 1 :] if name in rule.needs]
        if name in rule.needs
        else []
    )
    return any(
        used & (1 << place[other])
        and (rule.wants[other].kind, rule.wants[other].table, rule.wants[other].allowed)
        == (want.kind, want.table, want.allowed)
        for other in later
        if other in place
    )


def _ranges(tokens: Sequence[SaidWord], rule: RuleSayings) -> tuple[frozenset[int], list[Piece]]:
    """Ranges are both ends of two inputs: 11-34 of the sprockets, 50/34 of the rings, 47-57 of a reach."""
    taken: set[int] = set()
    pieces: list[Piece] = []
    pairs = list(_pairs(rule))
    for at, token in enumerate(tokens):
        if token.ends is None:
            continue
        near = {one.text for one in (*tokens[max(0, at - 2) : at], *_behind(tokens, at))}
        fitting = [
            pair
            for pair in pairs
            if all(
                _in_range(end, rule.wants[name]) for end, name in zip(token.ends, pair, strict=True) if name
            )
            and not any(piece.input in pair for piece in pieces)
        ]
        if not fitting:
            continue

        def worth(pair: tuple[str, str], token: SaidWord = token, near: set[str] = near) -> float:
            named = sum(rule.nouns[name].get(word, 0.0) for name in pair if name for word in near)
            needed = sum(name in rule.needs for name in pair)
            if "ring" in pair[1]:
                return named + needed + _SLASHED * (token.unit == "rings")
            return named + needed + (0.0 if token.unit == "rings" else _DASHED)

        low, high = max(fitting, key=worth)
        taken.add(at)
        pieces += [
            Piece(name, (_as_said(end),), _VALUE * 0.75)
            for name, end in zip((low, high), token.ends, strict=True)
            if name
        ]
    return frozenset(taken), pieces


def _pairs(rule: RuleSayings) -> Iterator[tuple[str, str]]:
    """Inputs that are two ends of one thing; of one that is told by its upper end alone the lower has no name."""
    for low, high in (("small", "big"), ("least", "most")):
        for name in rule.wants:
            if name.endswith(high):
                other = name[: -len(high)] + low
                yield (other if other in rule.wants else ""), name


def _behind(tokens: Sequence[SaidWord], at: int) -> Sequence[SaidWord]:
    """Up to two words behind a range that are still of it: none past a joining word or another range."""
    end = at + 1
    while end < min(len(tokens), at + 3) and not tokens[end].opens and tokens[end].ends is None:
        end += 1
    return tokens[at + 1 : end]


def _segments(
    tokens: Sequence[SaidWord], start: int, names: Sequence[str], rule: RuleSayings, spanned: frozenset[int]
) -> Iterator[tuple[int, Piece]]:
    said: set[str] = set()
    joints = 0
    for end in range(start + 1, min(len(tokens), start + _LONGEST) + 1):
        if end - 1 in spanned:
            return
        said.add(tokens[end - 1].text)
        joints += tokens[end - 1].opens and end - 1 > start
        if joints > 1:
            return
        some = tokens[start:end]
        for name in names:
            piece = _piece(name, some, said, rule)
            if piece is not None and (worth := piece.worth - _PIECE - _OVER_A_JOINT * joints) > 0:
                yield end, Piece(piece.input, piece.values, worth)


def _piece(name: str, some: Sequence[SaidWord], said: Set[str], rule: RuleSayings) -> Piece | None:
    want, nouns = rule.wants[name], rule.nouns[name]
    counted = want.kind in ("number", "whole")
    # A saying of which no word was said is not meant: most are passed over by this alone.
    meant = rule.meant_by[name]
    near = sorted({place for text in said & meant.keys() for place in meant[text]})
    scored = [
        (_worth(some, said, saying, nouns), saying.value)
        for saying in (rule.values[name][place] for place in near)
        if not saying.only or any(phrase <= said for phrase in saying.only)
    ]
    if counted:
        scored += _figures(some, want, nouns, name in rule.needs)
    best = max((worth for (worth, sure), _ in scored if sure), default=0.0)
    if best > 0:
        values = tuple(
            dict.fromkeys(value for (worth, sure), value in scored if sure and worth > best - 0.05)
        )
        # What the rule does not need is not lightly heard in a word that may be the noun of something else.
        stray = not counted and name not in rule.needs and not said & nouns.keys()
        return Piece(name, values[:MOST_VALUES], best - _STRAY_WORD * stray)
    if not said <= nouns.keys():
        return None
    named = [nouns[token.text] for token in some]
    # A part that is named alone is what is called so first: a crank is a crank before it is where rings are.
    first = len(some) > 1 or (name in rule.needs and bool(said & rule.first_nouns[name]))
    return Piece(name, (), _NOUN * sum(named) * (1.0 if first else _SECOND_NOUN))


def _worth(
    some: Sequence[SaidWord], said: Set[str], saying: SaidValue, nouns: Mapping[str, float]
) -> tuple[float, bool]:
    covered = frozenset().union(*(phrase for phrase in saying.phrases if phrase <= said))
    total, hints, named = 0.0, 0, 0
    for token in some:
        if token.text in covered:
            total += _VALUE
        elif token.text in saying.hints and token.text not in nouns:
            total += _HINT
            hints += 1
        elif token.text in nouns:
            total += _NOUN * nouns[token.text]
            named += 1
        elif not token.beside:
            total += _NOTHING
    # What nobody named is not guessed from a word that only hints.
    return total, bool(covered) or (hints > 0 and named > 0)


def _figures(
    some: Sequence[SaidWord], want: RuleInput, nouns: Mapping[str, float], needed: bool
) -> Iterator[tuple[tuple[float, bool], object]]:
    others = [token for token in some if token.figure is None]
    figures = [token for token in some if token.figure is not None]
    if len(figures) != 1:
        return
    value = figure_said(figures[0], want)
    if value is None:
        return
    named = sum(nouns.get(token.text, 0.0) for token in others)
    strange = sum(token.text not in nouns for token in others)
    counted = figures[0].unit in ("t", "c", "speed", "seat", "mm")
    if not named and not needed and not counted:
        return
    base = (_VALUE if named or counted else _BARE_FIGURE) if named or needed else _STRAY_FIGURE
    if figures[0].beside:
        base = min(base, _BARE_FIGURE)
    yield (base + _NOUN * named + _NOTHING * strange, True), value


def figure_said(token: SaidWord, want: RuleInput) -> object:
    """The figure as the input's unit has it; None where it counts something else."""
    value = in_mm(token) if want.unit == "mm" else token.figure
    # A size with a name (622, 6.5) is taken bare only where it is said to be a length.
    named = bool(want.table) and token.unit not in ("mm", "seat")
    if value is None or named or not _counts(token.unit, want) or not _in_range(value, want):
        return None
    return _as_said(value) if want.kind != "whole" or value == int(value) else None


def _counts(unit: str, want: RuleInput) -> bool:
    """Whether a figure with this unit may be a value of the input: teeth are no millimetres, and speeds are neither."""
    counts = want.unit in ("", "pitches")
    if unit == "t":
        return want.unit == "teeth"
    if unit == "speed":
        return counts and ("position" in want.name or "sprocket" in want.name)
    if unit == "c":
        return "tyre" in want.name
    if unit in ("mm", "seat", "in"):
        return want.unit == "mm"
    return unit not in ITS_OWN


def _in_range(value: float, want: RuleInput) -> bool:
    if want.kind not in ("number", "whole"):
        return False
    low, high = (float(str(end)) for end in want.allowed)
    return low <= value <= high


def _as_said(value: float) -> object:
    return int(value) if value == int(value) else value
