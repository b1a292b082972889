"""What a request may carry: made from the use case's own dataclass, with every figure bounded; and what an answer looks like."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, fields, is_dataclass
from dataclasses import Field as DataclassField
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import Annotated, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, create_model
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from pinchbolt.values.wording import worded

T = TypeVar("T")
MOST_INT = 2**31 - 1
_MOST_FLOAT = 1e6
_MOST_ITEMS = 300


def writable(text: str) -> str:
    """Refuse what no database writes: NUL, and halves of a pair of UTF-16."""
    if "\x00" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        raise ValueError(worded("has signs that can't be written down: use plain text"))
    return text


Text = Annotated[str, Field(max_length=4000), AfterValidator(writable)]
Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(writable)]
Whole = Annotated[int, Field(ge=0, le=MOST_INT, strict=True)]
EitherWay = Annotated[int, Field(ge=-MOST_INT, le=MOST_INT, strict=True)]
Number = Annotated[float, Field(ge=-_MOST_FLOAT, le=_MOST_FLOAT, allow_inf_nan=False)]
Money = Annotated[Decimal, Field(ge=-_MOST_FLOAT, le=_MOST_FLOAT, allow_inf_nan=False, max_digits=12)]
_BOUNDED: Mapping[object, object] = {str: Text, int: Whole, float: Number, Decimal: Money}


def _bounded(kind: object) -> object:
    """The same type, its figures and texts bounded."""
    if kind in _BOUNDED:
        return _BOUNDED[kind]
    if get_origin(kind) is Annotated:
        return EitherWay
    if isinstance(kind, type) and is_dataclass(kind):
        return body_of(kind, ())
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        return Union[tuple(_bounded(one) for one in inner)]  # noqa: UP007  (made at run time)
    if origin is tuple:
        return Annotated[tuple[_bounded(inner[0]), ...], Field(max_length=_MOST_ITEMS)]  # type: ignore[misc]
    if origin is not None and issubclass(origin, Mapping):
        # Keys of a JSON object are texts, so a number among them can't be strict.
        key = Annotated[int, Field(ge=0, le=MOST_INT)] if inner[0] is int else _bounded(inner[0])
        return Annotated[dict[key, _bounded(inner[1])], Field(max_length=_MOST_ITEMS)]  # type: ignore[misc, valid-type]
    return kind


def body_of(asked: type, left_out: Collection[str]) -> type[BaseModel] | None:
    """Return the request body for a use case's dataclass, without the fields that the address gives; None if none is left."""
    # What may be below 0 says so: Annotated[int, "either way"].
    hints, told = get_type_hints(asked, include_extras=True), {}
    for one in fields(asked):
        if one.name not in left_out:
            told[one.name] = (_bounded(hints[one.name]), _default(one))
    if not told:
        return None
    made: type[BaseModel] = create_model(
        asked.__name__, __config__=ConfigDict(extra="forbid"), __doc__=asked.__doc__, **told
    )  # type: ignore[call-overload]
    return made


def _default(one: "DataclassField[object]") -> object:
    """What a field is where it is not given; `...` where it must be."""
    if one.default_factory is not MISSING:
        return Field(default_factory=one.default_factory)
    return ... if one.default is MISSING else one.default


def dataclass_of(asked: type[T], body: object, from_address: Mapping[str, object]) -> T:
    """Return the use case's dataclass, filled from a body and the address."""
    given = (
        {name: getattr(body, name) for name in type(body).model_fields} if isinstance(body, BaseModel) else {}
    )
    hints = get_type_hints(asked)
    return asked(**{name: _plain(hints[name], value) for name, value in {**given, **from_address}.items()})


def _plain(kind: object, value: object) -> object:
    """A body's inner models as the dataclasses they were made from."""
    if isinstance(value, BaseModel):
        made = cast(Callable[..., object], next(one for one in (kind, *_leaves(kind)) if is_dataclass(one)))
        return made(**{name: getattr(value, name) for name in type(value).model_fields})
    if isinstance(value, tuple):
        inner = next((one for one in _leaves(kind) if is_dataclass(one)), None)
        return tuple(_plain(inner, one) for one in value)
    return value


def _leaves(kind: object) -> tuple[object, ...]:
    inner = [leaf for one in get_args(kind) if one is not Ellipsis for leaf in _leaves(one)]
    return tuple(inner) or (kind,)


class _AsWritten(GenerateJsonSchema):
    """Answers are written by `as_json`: an open end of an interval is null, money is text."""

    def float_schema(self, schema: object) -> JsonSchemaValue:
        """A number, or null where it is infinite."""
        return {"type": ["number", "null"]}

    def decimal_schema(self, schema: object) -> JsonSchemaValue:
        """Text, so that no float touches money."""
        return {"type": "string"}


@cache
def _answer_schema(kind: object) -> tuple[dict[str, object], dict[str, object]]:
    made = TypeAdapter(cast("type[object]", kind)).json_schema(
        mode="serialization", ref_template="#/components/schemas/{model}", schema_generator=_AsWritten
    )
    return made, made.pop("$defs", {})


def answer_schema(kind: object, components: dict[str, object]) -> dict[str, object]:
    """Return the schema of an answer; the types inside it go to *components*."""
    made, inner = _answer_schema(kind)
    components.update(inner)
    return made
