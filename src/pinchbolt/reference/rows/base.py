"""What every row of every table has."""

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, fields
from functools import cache
from typing import Any, ClassVar, Literal, NoReturn, TypeVar, cast, dataclass_transform

Certain = Literal["high", "medium", "low"]
PairVerdict = Literal["fits", "fits with", "does not fit", "cannot tell"]
# Which grammar reads a marking off a photo; "" is for what no photo tells.
MarkedAs = Literal[
    "", "torque", "rotor-limit", "pad-limit", "tyre-size", "pressure", "rim-limit", "diameter", "bolt-class", "battery", "speed",
    "frame-number",
]  # fmt: skip
EntryKind = TypeVar("EntryKind", bound="Entry")


class Entry:
    """A frozen record whose methods are written here once, for all kinds of row.

    There are some seventy row classes. What `dataclass(frozen=True)` writes anew for each costs 1.5 ms a class at
    every start of every command. `entry` registers the fields only, so that `fields`, `replace` and `asdict` work.
    """

    def __init__(self, **values: Any) -> None:
        defaults = _defaults(cast(Any, type(self)))
        if unknown := values.keys() - defaults:
            raise TypeError(f"{type(self).__name__} has no {', '.join(sorted(unknown))}")
        vars(self).update(defaults)
        vars(self).update(values)
        if missing := [name for name, value in vars(self).items() if value is MISSING]:
            raise TypeError(f"{type(self).__name__} needs {', '.join(missing)}")

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name}")

    def __delattr__(self, name: str) -> NoReturn:
        raise FrozenInstanceError(f"cannot delete field {name}")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and vars(other) == vars(self)

    def __hash__(self) -> int:
        return hash((type(self), *(value for value in vars(self).values() if isinstance(value, str))))

    def __repr__(self) -> str:
        inside = ", ".join(f"{name}={value!r}" for name, value in vars(self).items())
        return f"{type(self).__name__}({inside})"


@cache
def _defaults(kind: Any) -> dict[str, object]:
    """Each field of a row class with its default; MISSING where there is none."""
    return {field.name: field.default for field in fields(kind)}


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(Field,))
def entry(kind: type[EntryKind]) -> type[EntryKind]:
    """Register the fields of a row class; `Entry` brings the methods."""
    bare: Callable[[type[EntryKind]], type[EntryKind]] = dataclass(
        init=False, repr=False, eq=False, match_args=False, kw_only=True
    )
    return bare(kind)


@entry
class Row(Entry):
    """One row. Attributes are named as the keys of the TOML file; a key that Python keeps for itself gains a `_`.

    `key` names the fields that tell rows of one table apart (none: the table has one row only); `in_unit` the
    fields that are measured in the row's own `unit`; `said_too` those that a person reads, beside the fields of that name in
    any row. `from_shop` is True where the workshop's own table gave the row or changed it; `instead_of` then says in words
    what stood there before.
    """

    key: ClassVar[tuple[str, ...]] = ("id",)
    in_unit: ClassVar[tuple[str, ...]] = ()
    said_too: ClassVar[tuple[str, ...]] = ()

    source: str
    certain: Certain
    checked: str = ""
    note: str = ""
    from_shop: bool = False
    instead_of: tuple[str, ...] = ()

    @property
    def named(self) -> str:
        """The row's name in messages and reasons: its key fields, joined by ' / '."""
        return " / ".join(str(getattr(self, name)) for name in self.key)
