"""How a bike is drawn: the shape of its kind and the pieces that its parts bring."""

from pinchbolt.engines.build import Build, PartOn, drawn_pieces
from pinchbolt.reference.rows.build import Template
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.building import kind_and_place, parts_of_template
from pinchbolt.workshop.common.trade_tables import tables


def shape_of(bike_kind: str) -> str:
    """Return the shape of a kind of bike; a kind that no table has (any more) has none of its own."""
    row = tables().bike_kinds.get(bike_kind)
    return row.shape if row is not None else ""


def pieces_of_template(row: Template) -> frozenset[str]:
    """Return the pieces of a bike of this build template, with its usual count of speeds."""
    named = (kind_and_place(part) for part, _ in parts_of_template(row, None))
    parts = tuple(PartOn(0, kind_row(kind), end) for kind, end in named)
    return drawn_pieces(Build(tables(), row.kind, parts))
