"""What every row of every table has."""

from dataclasses import dataclass
from typing import ClassVar, Literal

Certain = Literal["high", "medium", "low"]
PairVerdict = Literal["fits", "fits with", "does not fit"]
BikeKind = Literal["road", "gravel", "mtb", "city", "ebike", "cargo", "kids", "track"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row. Attributes are named as the keys of the TOML file; a key that Python keeps for itself gains a `_`.

    `key` names the fields that tell rows of one table apart (none: the table has one row only); `in_unit` the
    fields that are measured in the row's own `unit`. `from_shop` is True where the workshop's own table gave the
    row or changed it; `replaces` then says in words what stood there before.
    """

    key: ClassVar[tuple[str, ...]] = ("id",)
    in_unit: ClassVar[tuple[str, ...]] = ()

    source: str
    certain: Certain
    checked: str = ""
    note: str = ""
    from_shop: bool = False
    replaces: tuple[str, ...] = ()

    @property
    def named(self) -> str:
        """The row's name in messages: its key fields, joined by ' / '."""
        return " / ".join(f"{getattr(self, field):g}" if isinstance(getattr(self, field), float)
                          else str(getattr(self, field)) for field in self.key)
