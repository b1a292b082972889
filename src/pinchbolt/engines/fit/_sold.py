"""What is sold for an input of a rule: sizes of the tables, codes of two parts."""

from pinchbolt.engines.fit._inputs import RuleInput
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of


def sold(want: RuleInput, view: FitTables) -> tuple[object, ...]:
    """What is sold for an input: ids of its table, its words, the figures or codes that its rule names as sold."""
    if want.sold:
        kind, *fields = want.sold
        if fields == ["codes"]:
            return _codes(kind, view)
        rows = view.rows(str(kind))
        every = (size for row in rows for name in fields for size in items_of(field_of(row, str(name))))
        sizes = tuple(dict.fromkeys(every))
        return tuple([size] for size in sizes) if want.kind == "numbers" else sizes
    return want.allowed if want.kind in ("of", "one_of") else ()


def _codes(kind: object, view: FitTables) -> tuple[object, ...]:
    """Codes of two parts, head tube and steerer or crown race: ZS44/28.6."""
    ends = {
        "upper": dict.fromkeys(f"{field_of(row, 'outside'):g}" for row in view.rows("steerer")),
        "lower": dict.fromkeys(text_of(row, "id") for row in view.rows("crown_race")),
    }[str(kind)]
    return tuple(f"{text_of(row, 'id')}/{end}" for row in view.rows("head_tube") for end in ends)
