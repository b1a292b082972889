"""What was said of each input of one rule: figures by their range and side, rows by their words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pinchbolt.engines.fit._inputs import RuleInput, in_words
from pinchbolt.engines.fit._spoken import Spoken, heard, is_figure, pieces_of
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of

MOST_ROWS = 6
_BY_FIGURE, _BY_CODE, _BY_PLAIN = 3.0, 2.0, 1.0


@dataclass(frozen=True, slots=True)
class MeantInput:
    """One thing that was understood: the rule's input, what it is called, the value and the value in words."""

    input: str
    name: str
    value: object
    words: str


def row_said(want: RuleInput, value: object, view: FitTables) -> object:
    return row_of(want.table, value, view, want.field)


def row_of(table: str, value: object, view: FitTables, field: str = "id") -> object:
    """The row whose words a value has; None where it has none."""
    rows = view.rows(table) if table else ()
    return next((row for row in rows if field_of(row, field) == value), None)


_FLAGS = {"hook": {"hooked": True, "hookless": False}, "racing": {"racing": True, "race": True}}


class Heard:
    """What was said of each input of one rule."""

    def __init__(
        self, wants: Mapping[str, RuleInput], needs: Sequence[str], spoken: Spoken, view: FitTables
    ) -> None:
        self.wants, self.needs, self.spoken, self.view = wants, needs, spoken, view
        self.used: set[tuple[int, str]] = set()
        names = {
            name: {one for one in pieces_of(want.name) if not is_figure(one)} for name, want in wants.items()
        }
        # What tells an input from the others of its rule: hub from frame, not the spacing that both have.
        self.own = {
            name: {
                piece: 1.0 for piece in mine if sum(piece in names[other] for other in {*needs, name}) == 1
            }
            for name, mine in names.items()
        }
        self.sides = {name: self._named_on(name) for name in wants}

    def _named_on(self, name: str) -> int | None:
        """The side of the question on which an input is named."""
        told = [heard(side, self.own[name]) for side in self.spoken.sides]
        return told.index(max(told)) if max(told) > 0 else None

    def meant(self) -> dict[str, tuple[MeantInput, ...]]:
        """For each input one value, or several that it may be; what is named comes first."""
        found: dict[str, tuple[object, ...]] = {}
        order = sorted(self.wants, key=lambda name: (self.sides[name] is None, name not in self.needs))
        for name in order:
            want = self.wants[name]
            if want.kind == "flag":
                found[name] = self._flag(name)
            elif want.kind in ("number", "whole"):
                found[name] = self._figure(name, want)
            elif want.kind in ("of", "one_of"):
                found[name] = self._words(name, want)
        return {
            name: tuple(
                MeantInput(name, want.name, value, in_words(want, value, self.view)) for value in found[name]
            )
            for name, want in self.wants.items()
            if found.get(name)
        }

    def _where(self, name: str) -> list[int]:
        """The sides to look at: where it is named; else for the first the first, for others what nobody like it has."""
        side = self.sides[name]
        every = list(range(len(self.spoken.sides)))
        if side is not None:
            return [side, *(one for one in every if one != side)]
        if name not in self.needs:
            return []
        like = {
            self.sides[other]
            for other, want in self.wants.items()
            if other != name and want.kind == self.wants[name].kind and want.table == self.wants[name].table
        }
        free = [one for one in every if one not in like]
        first = name == self.needs[0]
        return free if first else free[::-1]

    def _flag(self, name: str) -> tuple[object, ...]:
        said = _FLAGS.get(name, {})
        return tuple(dict.fromkeys(value for word, value in said.items() if word in self.spoken.pieces))

    def _figure(self, name: str, want: RuleInput) -> tuple[object, ...]:
        low, high = (float(str(end)) for end in want.allowed)
        for side in self._where(name):
            if want.table and (rows := self._named_rows(want, self.spoken.sides[side])):
                return rows
            for piece in self.spoken.sides[side]:
                if not is_figure(piece) or (side, piece) in self.used or not low <= float(piece) <= high:
                    continue
                value = float(piece)
                if (want.kind == "whole" and value != int(value)) or want.table:
                    continue
                self.used.add((side, piece))
                return (int(value) if value == int(value) else value,)
        return ()

    def _named_rows(self, want: RuleInput, side: Sequence[str]) -> tuple[object, ...]:
        """Figures that have names: 622 as it is, 700C and 26 x 1-3/8 by what they are called."""
        rows = self.view.rows(want.table)
        lettered = {"a", "b", "c"} & set(side)
        own = [value for row in rows if not lettered and f"{(value := field_of(row, want.field)):g}" in side]
        if own:
            return tuple(own)
        scored = []
        for row in rows:
            names = [
                pieces_of(name) for told in items_of(field_of(row, "names")) for name in str(told).split(",")
            ]
            scored.append((max(_alike(name, side) for name in names), field_of(row, want.field)))
        best = max(score for score, _ in scored)
        return tuple(value for score, value in scored if score == best)[:MOST_ROWS] if best > 0 else ()

    def _words(self, name: str, want: RuleInput) -> tuple[object, ...]:
        alone = sum((o.table, o.allowed) == (want.table, want.allowed) for o in self.wants.values()) == 1
        sides = [self.spoken.sides[side] for side in self._where(name)[:1]]
        for pieces in (*sides, *([self.spoken.pieces] if alone else ())):
            scored = [(self._fitting(value, pieces, want), value) for value in want.allowed]
            best = max((score for score, _ in scored), default=0.0)
            # What nobody named is not guessed from one plain word.
            if best >= (_BY_PLAIN if self.sides[name] is not None else _BY_CODE):
                return tuple(value for score, value in scored if score > 0.85 * best)[:MOST_ROWS]
        return ()

    def _fitting(self, value: object, side: Sequence[str], want: RuleInput) -> float:
        """How much of a value's words was said: its code and trade name count twice, its figures three times."""
        code = dict.fromkeys(pieces_of(str(value)), _BY_CODE)
        row = row_said(want, value, self.view)
        if row is not None:
            plain, trade = (dict.fromkeys(pieces_of(text_of(row, name))) for name in ("plain", "trade_name"))
            code = {**dict.fromkeys(plain, _BY_PLAIN), **dict.fromkeys(trade, _BY_CODE), **code}
            for name in ("speeds", "spacing", "diameter", "circle", "arms"):
                for figure in pieces_of(str(field_of(row, name) or "")):
                    code[figure] = _BY_FIGURE
            # One that spans several numbers of sprockets is each of them.
            spans = field_of(row, "drives")
            code |= dict.fromkeys(map(str, spans) if isinstance(spans, Mapping) else (), _BY_FIGURE)
        named = set(pieces_of(want.name)).union(*(pieces_of(self.wants[other].name) for other in self.needs))
        return heard([piece for piece in side if piece not in named], code)


def _alike(name: Sequence[str], side: Sequence[str]) -> float:
    """How well a size was said by its name: its first figure must be there, and then the more of it the better."""
    first = next((piece for piece in name if is_figure(piece)), "")
    if not first or first not in side:
        return 0.0
    letters = [piece for piece in name if len(piece) == 1 and piece in "abcd"]
    if any(letter not in side for letter in letters) or any(
        piece in "abcd" and len(piece) == 1 and piece not in letters for piece in side
    ):
        return 0.0
    said = [piece for piece in side if is_figure(piece) or "/" in piece]
    return sum(piece in name for piece in said) + 0.5 * len(letters) - 0.1 * len(name)
