"""Kinds of part, what each can be asked, words for a state of the bike, kinds of bike and how they are ridden."""

from collections.abc import Mapping
from typing import Literal

from pinchbolt.reference.rows.base import MarkedAs, Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values.wording import coded

Value = str | float | bool
Rides = Literal["all", "outdoors", "as its wheel", "none"]
UseClass = Literal["dry road", "mixed", "mud", "e-bike", "indoor"]


@entry
class PartKind(Row):
    """A kind of part: where it is, what turns it, what it can be asked and what else it stands for.

    `ends`: one on a bike; one at `each` end, which is then named; `any` may name one. `end` is where the only one
    always is: it names the part's facts in the flat build and tells its joints apart. `fitted_to`: a part of the bike,
    of a wheel that `carries` it along, or a supply that is used up and stands on no build sheet. `rides`: which rides
    turn it. `station` is a place of the walk-round, with {end} for the part's own. `stands_for` names kinds that it is
    as well, unless such a part is on the build sheet at its end. `always` are facts that the kind itself settles.
    `on_every_bike`: there from the first, and never off the build sheet.
    """

    id: str
    name: str = ""
    ends: Literal["one", "each", "any"] = "one"
    end: Literal["", "front", "rear"] = ""
    fitted_to: Literal["bike", "wheel", "supply"] = "bike"
    carries: bool = False
    on_every_bike: bool = False
    rides: Rides = "all"
    station: str = ""
    drawn: str = ""
    stands_for: tuple[str, ...] = ()
    always: Mapping[str, Value] | None = None
    facts: tuple[str, ...] = ()
    wears: tuple[str, ...] = ()
    ruins: tuple[str, ...] = ()
    fitted_by: str = ""
    swaps: bool = False
    pieces: Literal["one", "pair", "set", "by count"] = "one"

    @property
    def words(self) -> str:
        """What people call it."""
        return self.name or coded(self.id)

    def station_at(self, end: str) -> str:
        """The place of the walk-round at which a part of this kind is."""
        side = end.partition(" ")[0]
        return self.station.replace("{end}", side or self.end or "rear")


@entry
class PartFact(Row):
    """Something that a part can be asked: the question, how to find it out, and which answers there are.

    At most one of `number`, `whole` (least and greatest), `of` (a kind of row in interfaces.toml), `one_of`, `flag`
    and `text` is given; without one, the fit rule that asks for it says what is allowed. `build` is its name in the
    flat build of the fit rules, with {end} for the part's end; empty where none looks at it. `seen`: how it is found out; one tap on a corner
    confirms only what an eye sees. `marked_as`: the grammar that reads it off a photo of the part.
    """

    id: str
    name: str
    ask: str = ""
    number: tuple[float, float] | None = None
    whole: tuple[int, int] | None = None
    of: str = ""
    one_of: tuple[str | float, ...] = ()
    flag: bool = False
    text: bool = False
    unit: str = ""
    build: str = ""
    seen: Literal["eye", "marking", "measure", "owner"] = "eye"
    marked_as: MarkedAs = ""

    def name_in_build(self, end: str) -> str:
        """The fact's name in the flat build, for a part at *end*; empty where no fit rule looks at it."""
        side = end.partition(" ")[0]
        return self.build.replace("{end}", side).removesuffix("_").removeprefix("_")


@entry
class Feature(Row):
    """A word for a state of the bike: true where one condition of `any` is, or all of `all`.

    It may name features that stand above it in the file.
    """

    id: str
    words: str
    any: tuple[Condition, ...] = ()
    all: tuple[Condition, ...] = ()


@entry
class BikeKind(Row):
    """A kind of bike: the shape of its drawing and how such a bike is usually ridden.

    `ends` names parts of one end that stand side by side, as the two front wheels of a trike do. `again` names places at
    which kinds stand once more: the stoker's of a tandem, a third brake behind.
    """

    id: str
    words: str
    shape: str
    use: UseClass
    km_a_week: float
    ends: Mapping[str, tuple[str, ...]] | None = None
    again: Mapping[str, tuple[str, ...]] | None = None

    def ends_at(self, end: str) -> tuple[str, ...]:
        """The names of the parts at one end: front, or front left and front right."""
        return (self.ends or {}).get(end, (end,))

    def places_of(self, kind: PartKind) -> tuple[str, ...]:
        """Every place at which a part of this kind can be on such a bike; an empty one where it need not be said."""
        sides = (
            () if kind.ends == "one" else tuple(one for end in ("front", "rear") for one in self.ends_at(end))
        )
        more = tuple(place for place, kinds in (self.again or {}).items() if kind.id in kinds)
        return (*(() if kind.ends == "each" else ("",)), *sides, *more)


@entry
class UseRow(Row):
    """A class of use: how far such a bike usually goes in a week and in an hour; `spread` is one sigma of the week's logarithm."""

    id: str
    words: str
    km_a_week: float
    spread: float
    km_an_hour: float
