"""Swaps, gears, chain length, tyres, wheels and bins by JSON."""

from collections.abc import Callable
from typing import Annotated, get_type_hints

from django.http import HttpRequest
from django.utils import timezone
from ninja import Header, Path, Query, Router, Schema
from pydantic import AfterValidator, Field

from pinchbolt.api.bodies import Name, body_of, dataclass_of, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.fit_in_words import RuleAskedView, RuleListed, fit_in_words, fit_list
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.parts.parts_file import MOST_LETTERS
from pinchbolt.workshop.parts.swap import SwapView, swap
from pinchbolt.workshop.parts.take_in_parts import (
    BinView,
    PartsRequest,
    PartsTaken,
    bins,
    take_in_parts,
    try_parts,
)
from pinchbolt.workshop.parts.which_part import WhichView, which_part
from pinchbolt.workshop.questions.ask_chain_length import ChainView, chain_to_cut
from pinchbolt.workshop.questions.ask_gears import GearsView, gears_of
from pinchbolt.workshop.questions.ask_tyre import ask_tyre, tyre_json
from pinchbolt.workshop.questions.ask_wheel_length import WheelLengthView, wheel_length
from pinchbolt.workshop.questions.ask_wheel_plan import WheelPlanView, wheel_plan

ANSWERS: dict[str, object] = {
    "ask_swap": SwapView,
    "ask_gears": GearsView,
    "ask_tyre": dict[str, object],
    "ask_chain_length": ChainView,
    "ask_wheel_length": WheelLengthView,
    "ask_wheel_plan": WheelPlanView,
    "see_fit_rules": tuple[RuleListed, ...],
    "ask_fit_in_words": tuple[RuleAskedView, ...],
    "ask_which_part": tuple[WhichView, ...],
    "see_bins": tuple[BinView, ...],
    "try_parts": PartsTaken,
    "take_in_parts": PartsTaken,
}

router = Router(tags=["fit"])
Tag = Annotated[str, Path(min_length=1, max_length=20), AfterValidator(writable)]


def _question(
    path: str, name: str, use_case: Callable[..., object], answer: Callable[..., object] = as_json
) -> None:
    """A POST that writes nothing: the use case's own dataclass in, its answer out."""
    asked_type: type = get_type_hints(use_case)["request"]

    def view(request: HttpRequest, asked: object) -> object:
        return answer(use_case(dataclass_of(asked_type, asked, {})))

    view.__annotations__["asked"] = body_of(asked_type, ())
    summary = (use_case.__doc__ or "").splitlines()[0]
    router.post(path, response=ANSWERED, operation_id=name, summary=summary)(view)


_question("/swap", "ask_swap", swap)
_question("/gears", "ask_gears", gears_of)
_question("/chain-length", "ask_chain_length", chain_to_cut)
_question("/tyre", "ask_tyre", ask_tyre, tyre_json)
_question("/wheel/length", "ask_wheel_length", wheel_length)
_question("/wheel/plan", "ask_wheel_plan", wheel_plan)


class WordsBody(Schema):
    """A question, or a part that is sought, as people say it."""

    words: Annotated[str, Field(min_length=1, max_length=200), AfterValidator(writable)]


@router.get(
    "/fit/rules", response=ANSWERED, operation_id="see_fit_rules", summary=worded("Every fit rule in words.")
)
def fit_rules(request: HttpRequest) -> object:
    """What each says, and what it needs to be told."""
    return as_json(fit_list())


@router.post(
    "/fit/find",
    response=ANSWERED,
    operation_id="ask_fit_in_words",
    summary=worded("Does it fit, asked in words."),
)
def fit_find(request: HttpRequest, asked: WordsBody) -> object:
    """The rules that may be meant, likeliest first, each with what it says."""
    return as_json(fit_in_words(asked.words))


@router.post(
    "/bike/{tag}/fit/which",
    response=ANSWERED,
    operation_id="ask_which_part",
    summary=worded("Which part fits a bike."),
)
def fit_which(request: HttpRequest, tag: Tag, asked: WordsBody) -> object:
    """By the name of its standard, with what lies in the bins."""
    return as_json(which_part(tag, asked.words))


@router.get(
    "/bins", response=ANSWERED, operation_id="see_bins", summary=worded("Parts in the bins and to order.")
)
def see_bins(
    request: HttpRequest, kind: Annotated[str, Query(max_length=60), AfterValidator(writable)] = ""
) -> object:
    """By kind and words."""
    return as_json(bins(kind))


class PartsSent(Schema):
    """A file of parts as text, its columns as ours = theirs, and whether good lines are kept where others are refused."""

    text: Annotated[str, Field(max_length=MOST_LETTERS)]
    columns: Annotated[dict[Name, Name], Field(max_length=200, default_factory=dict)]
    keep_good: bool = False


@router.post(
    "/bins/try",
    response=ANSWERED,
    operation_id="try_parts",
    summary=worded("What taking a file of parts in would do."),
)
def try_file(request: HttpRequest, asked: PartsSent) -> object:
    """Nothing is written."""
    return as_json(try_parts(PartsRequest(asked.text, asked.columns, asked.keep_good)))


@router.post(
    "/bins/import",
    response=ANSWERED,
    operation_id="take_in_parts",
    summary=worded("Take a file of parts in."),
)
def take_file_in(
    request: HttpRequest,
    asked: PartsSent,
    key: Annotated[
        str, AfterValidator(writable), Header(alias="Idempotency-Key", min_length=8, max_length=64)
    ],
) -> object:
    """Whole, or nothing; on request the good lines."""
    parts = PartsRequest(asked.text, asked.columns, asked.keep_good)
    return as_json(take_in_parts(parts, by=request.auth.pk, key=key, now=timezone.now()))  # type: ignore[attr-defined]
