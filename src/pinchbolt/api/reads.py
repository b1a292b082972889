"""Everything that can be looked at, and the questions that write nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, get_type_hints

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Path, Query, Router, Schema
from pydantic import AfterValidator, Field

from pinchbolt.api.bodies import MOST_INT, Name, Number, Text, body_of, dataclass_of, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.api_tokens import TokenView, tokens_of
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.build_view import BuildView, build_view_of
from pinchbolt.workshop.bikes.kinds_view import KindView, kinds_view
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.fit_answers import build_json, fit_rule, rule_json
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.leaving.bike_sheet import BikeView, bike_sheet
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.leaving.job_money import job_money
from pinchbolt.workshop.leaving.print_sheet import (
    print_bolt_round,
    print_hang_tag,
    print_home_tools,
    print_sheet,
)
from pinchbolt.workshop.leaving.shop_day import ShopDay, job_view, shop_day
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.looks.walk_list import WalkList, walk_list
from pinchbolt.workshop.owners.find import BikeMatch, find_bikes
from pinchbolt.workshop.parts.check_fit import fit_bike
from pinchbolt.workshop.questions.ask_setting import SettingRequest, SettingView, tool_setting
from pinchbolt.workshop.questions.ask_torque import JointAnswer, JointRequest, joint_setting, markings_by_part
from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, PartJudged, part_by_hand
from pinchbolt.workshop.stays.at_the_counter import at_the_counter
from pinchbolt.workshop.stays.complaints import ComplaintChoice, complaint_choices
from pinchbolt.workshop.stays.job_card import MenuRow, RefusedRow, job_card, menu, refused_here
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.owner_texts import owner_texts
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.suggest import advice, suggestions
from pinchbolt.workshop.stays.walk_round import walk_round
from pinchbolt.workshop.tools.tool_board import CheckDue, InstrumentView, ToolView, due_list, tool_board
from pinchbolt.workshop.torque.bolt_read import PreloadRequest, PreloadView, preload
from pinchbolt.workshop.torque.bolt_round import RoundView, bolt_round
from pinchbolt.workshop.torque.choose_kit import KitRequest, KitView, kit_for_bikes
from pinchbolt.workshop.torque.home_tools import FEW, HomeRequest, HomeView, home_tools
from pinchbolt.workshop.torque.torque_sheet import sheet_with_order, torque_sheet
from pinchbolt.workshop.wear.change_point import ChangePoint, ChangePointRequest, change_point
from pinchbolt.workshop.wear.change_point_of_bike import change_point_of

JobId = Annotated[int, Path(ge=1, le=MOST_INT)]
Tag = Annotated[str, Path(min_length=1, max_length=20), AfterValidator(writable)]
JobQuestion = Callable[..., object]


@dataclass(frozen=True, slots=True)
class Board:
    """What hangs on the tool board."""

    tools: tuple[ToolView, ...]
    instruments: tuple[InstrumentView, ...]


# What there is to look at in a job; each use case says itself what it answers.
OF_JOB: dict[str, tuple[Callable[..., object], JobQuestion]] = {
    "": (job_view, job_view),
    "/walk-round": (walk_round, walk_round),
    "/findings": (findings_of, lambda job, _: findings_of(job)),
    "/counter": (at_the_counter, at_the_counter),
    "/suggestions": (suggestions, lambda job, _: suggestions(job)),
    "/advice": (advice, lambda job, _: advice(job)),
    "/estimate": (estimate, lambda job, _: estimate(job)),
    "/job-card": (job_card, lambda job, _: job_card(job)),
    "/torque-sheet": (torque_sheet, lambda job, now: torque_sheet(job, local_day(now))),
    "/torque-sheet/order": (sheet_with_order, lambda job, now: sheet_with_order(job, local_day(now))),
    "/safety-list": (sign_off_list, sign_off_list),
    "/handover": (handover_sheet, handover_sheet),
    "/bills": (bills_of, lambda job, _: bills_of(job)),
    "/money": (job_money, lambda job, _: job_money(job)),
    "/texts": (owner_texts, lambda job, now: owner_texts(job, local_day(now))),
}
ANSWERS: dict[str, object] = {
    f"see_{use_case.__name__}": get_type_hints(use_case)["return"] for use_case, _ in OF_JOB.values()
}
ANSWERS |= {
    "see_walk_list": WalkList,
    "see_complaint_choices": tuple[ComplaintChoice, ...],
    "see_shop_day": ShopDay,
    "see_bike": BikeView,
    "see_build": BuildView,
    "see_kinds": tuple[KindView, ...],
    "find_bikes": tuple[BikeMatch, ...],
    "see_tool_board": Board,
    "see_tokens": tuple[TokenView, ...],
    "see_menu": tuple[MenuRow, ...],
    "see_refused": tuple[RefusedRow, ...],
    "ask_torque_setting": SettingView,
    "ask_wear_part": PartJudged,
    "ask_wear_change_point": ChangePoint,
    "see_change_point_of_bike": ChangePoint,
    "ask_joint_setting": JointAnswer,
    "see_due_list": tuple[CheckDue, ...],
    "ask_kit": KitView,
    "ask_kit_home": HomeView,
    "ask_fit_rule": dict[str, object],
    "ask_fit_bike": dict[str, object],
    "see_bolt_round": RoundView,
    "ask_torque_preload": PreloadView,
}

router = Router(tags=["look"])


def _see(look: JobQuestion) -> Callable[..., object]:
    def view(request: HttpRequest, job: JobId) -> object:
        return as_json(look(job_by_id(job), timezone.now()))

    return view


for _path, (_use_case, _look) in OF_JOB.items():
    router.get(
        f"/job/{{job}}{_path}",
        response=ANSWERED,
        operation_id=f"see_{_use_case.__name__}",
        summary=(_use_case.__doc__ or "").splitlines()[0],
    )(_see(_look))


@router.get(
    "/job/{job}/looks",
    response=ANSWERED,
    operation_id="see_walk_list",
    summary=worded(
        "Which look next in so many minutes, with worth, chance, seconds and reason; what "
        "was looked at; what was not."
    ),
)
def looks(
    request: HttpRequest, job: JobId, minutes: Annotated[float | None, Query(ge=0, le=600)] = None
) -> object:
    """Without minutes all of it, in the order of the hands."""
    return as_json(walk_list(job_by_id(job), timezone.now(), minutes))


@router.get(
    "/complaints",
    response=ANSWERED,
    operation_id="see_complaint_choices",
    summary=worded("What an owner may complain of, with the words that owners use."),
)
def complaints(request: HttpRequest) -> object:
    """In the order of the table."""
    return as_json(complaint_choices())


@router.get(
    "/job/{job}/sheet/{sheet}",
    response=ANSWERED,
    operation_id="print_sheet",
    summary=worded("A sheet of a job as PDF."),
)
def sheet(request: HttpRequest, job: JobId, sheet: Annotated[str, Path(max_length=40)]) -> HttpResponse:
    """Sheets: estimate, job-card, torque-sheet, handover, not-safe, workings, bill."""
    pdf = print_sheet(sheet, job, timezone.now(), request.auth.pk)  # type: ignore[attr-defined]
    return HttpResponse(pdf, content_type="application/pdf")


@router.get(
    "/bike/{tag}/hang-tag",
    response=ANSWERED,
    operation_id="print_hang_tag",
    summary=worded("A bike's hang tag as PDF."),
)
def hang_tag(request: HttpRequest, tag: Tag) -> HttpResponse:
    """A label 62 mm wide; its code opens the bike at the address that this request came to."""
    return HttpResponse(print_hang_tag(tag, request.build_absolute_uri("/")), content_type="application/pdf")


@router.get(
    "/day",
    response=ANSWERED,
    operation_id="see_shop_day",
    summary=worded("The day: stands, what waits, what is ready."),
)
def day(request: HttpRequest) -> object:
    """The shop day as it stands."""
    return as_json(shop_day(timezone.now()))


@router.get(
    "/bikes",
    response=ANSWERED,
    operation_id="find_bikes",
    summary=worded("Find bikes and owners by tag, name, phone, frame number or words."),
)
def bikes(
    request: HttpRequest, words: Annotated[str, Query(max_length=60), AfterValidator(writable)]
) -> object:
    """Tag matches first."""
    return as_json(find_bikes(words))


@router.get(
    "/bike/{tag}",
    response=ANSWERED,
    operation_id="see_bike",
    summary=worded("A bike with its build sheet and history."),
)
def bike(request: HttpRequest, tag: Tag) -> object:
    """Everything that is written down about a bike."""
    return as_json(bike_sheet(tag, timezone.now()))


@router.get(
    "/bike/{tag}/build",
    response=ANSWERED,
    operation_id="see_build",
    summary=worded("A bike's build sheet: parts, and each fact with how it is known."),
)
def build(request: HttpRequest, tag: Tag) -> object:
    """By corners, with what is asked, the joints and what is marked on each part."""
    return as_json(build_view_of(tag))


@router.get(
    "/kinds",
    response=ANSWERED,
    operation_id="see_kinds",
    summary=worded("Kinds of part: what each can be asked, its limits and joints."),
)
def kinds(
    request: HttpRequest, kind: Annotated[str, Query(max_length=60), AfterValidator(writable)] = ""
) -> object:
    """All of them, or the one that is named."""
    return as_json(kinds_view(kind))


@router.get(
    "/bike/{tag}/change-point",
    response=ANSWERED,
    operation_id="see_change_point_of_bike",
    summary=worded("What each way of changing chains costs on this bike."),
)
def change_point_of_bike(request: HttpRequest, tag: Tag) -> object:
    """At the shelf prices of its parts, its use and how often it is seen."""
    return as_json(change_point_of(tag, local_day(timezone.now())))


@router.get(
    "/tools",
    response=ANSWERED,
    operation_id="see_tool_board",
    summary=worded("Tools and instruments on the board."),
)
def tools(request: HttpRequest) -> object:
    """Tools with their dates, instruments with their known errors."""
    return as_json(Board(*tool_board(local_day(timezone.now()))))


@router.get(
    "/tools/due",
    response=ANSWERED,
    operation_id="see_due_list",
    summary=worded("What is to be checked, the soonest first."),
)
def due(request: HttpRequest) -> object:
    """Torque tools after 12 months or 5,000 clicks, all else by its term."""
    return as_json(due_list(local_day(timezone.now())))


@router.get(
    "/bike/{tag}/round",
    response=ANSWERED,
    operation_id="see_bolt_round",
    summary=worded("A bike's bolt round in working order, with today's ticks."),
)
def round_of_bike(
    request: HttpRequest, tag: Tag, which: Annotated[str, Query(max_length=20), AfterValidator(writable)] = ""
) -> object:
    """Rounds: whole, first-ride, monthly, due; left out, the usual one of this kind of bike."""
    return as_json(bolt_round(tag, which, timezone.now()))


@router.get(
    "/bike/{tag}/round/sheet",
    response=ANSWERED,
    operation_id="print_bolt_round",
    summary=worded("A bike's bolt round as PDF."),
)
def round_sheet(
    request: HttpRequest, tag: Tag, which: Annotated[str, Query(max_length=20), AfterValidator(writable)] = ""
) -> HttpResponse:
    """Rounds: whole, first-ride, monthly, due; left out, the usual one of this kind of bike."""
    return HttpResponse(print_bolt_round(tag, which, timezone.now()), content_type="application/pdf")


@router.get(
    "/bike/{tag}/home-tools/sheet",
    response=ANSWERED,
    operation_id="print_home_tools",
    summary=worded("The few tools that the owner of this bike should have at home, as PDF."),
)
def home_tools_on_paper(
    request: HttpRequest, tag: Tag, most: Annotated[int, Query(ge=1, le=12)] = FEW
) -> HttpResponse:
    """For every bike of this owner; `most` is how many tools."""
    return HttpResponse(print_home_tools(tag, most, timezone.now()), content_type="application/pdf")


@router.get(
    "/tokens", response=ANSWERED, operation_id="see_tokens", summary=worded("Tokens that are good now.")
)
def tokens(request: HttpRequest) -> object:
    """Your own; for the owner of the workshop everybody's. No token says itself here."""
    return as_json(tokens_of(request.auth.pk, timezone.now()))  # type: ignore[attr-defined]


@router.get(
    "/menu", response=ANSWERED, operation_id="see_menu", summary=worded("The operations of the menu.")
)
def operations(request: HttpRequest) -> object:
    """Id, name and minutes."""
    return as_json(menu())


@router.get(
    "/refused",
    response=ANSWERED,
    operation_id="see_refused",
    summary=worded("Work that is refused, and what is done instead."),
)
def refused(request: HttpRequest) -> object:
    """Id, words, and what to do."""
    return as_json(refused_here())


Marked = Annotated[dict[Name, Number], Field(max_length=20, default_factory=dict)]


class JointBody(Schema):
    """A joint of the table, and what is marked on its parts: greatest, least of a range, named target; the bolt. [N·m]"""

    joint: Name
    markings: Marked
    least: Marked
    target: Marked
    property_class: Text = ""
    preparation: Text = ""
    thread: Text = ""
    facts: Annotated[dict[Name, Text], Field(max_length=20, default_factory=dict)]


class FitBody(Schema):
    """A rule of the table, and what is known."""

    rule: Name
    given: Annotated[
        dict[Name, str | float | bool | list[str | float] | None], Field(max_length=60, default_factory=dict)
    ]


class SwapBody(Schema):
    """Facts that a swap changes."""

    changes: Annotated[
        dict[Name, str | float | bool | list[str | float] | None], Field(max_length=60, default_factory=dict)
    ]


# Questions whose body is the use case's own dataclass.
ASKS: dict[str, tuple[type, Callable[..., object], str]] = {
    "/torque/setting": (SettingRequest, tool_setting, worded("Where to set any tool for any range.")),
    "/torque/preload": (
        PreloadRequest,
        lambda asked, _: preload(asked),
        worded("What a torque buys in a bolt."),
    ),
    "/kit": (
        KitRequest,
        kit_for_bikes,
        worded("The fewest, lightest or cheapest tools for the joints of bikes."),
    ),
    "/kit/home": (
        HomeRequest,
        home_tools,
        worded("The few tools that the owner of bikes should have at home."),
    ),
    "/wear/part": (
        PartByHandRequest,
        part_by_hand,
        worded("What one reading of a part says, without a bike on record."),
    ),
    "/wear/change-point": (
        ChangePointRequest,
        lambda asked, _: change_point(asked),
        worded("What each way of changing chains costs per 1,000 km."),
    ),
}


def _ask(kind: type, look: Callable[..., object]) -> Callable[..., object]:
    def view(request: HttpRequest, asked: object) -> object:
        return as_json(look(dataclass_of(kind, asked, {}), local_day(timezone.now())))

    view.__annotations__["asked"] = body_of(kind, ())
    return view


for _path, (_kind, _answer, _words) in ASKS.items():
    router.post(
        _path,
        response=ANSWERED,
        operation_id=f"ask_{_path[1:].replace('/', '_').replace('-', '_')}",
        summary=_words,
    )(_ask(_kind, _answer))


@router.post(
    "/torque/joint",
    response=ANSWERED,
    operation_id="ask_joint_setting",
    summary=worded("Where to set a tool of this workshop."),
)
def torque_of_joint(request: HttpRequest, asked: JointBody) -> object:
    """What a joint accepts with these markings, and the tool to take."""
    read = markings_by_part(asked.markings, asked.least, asked.target)
    day = local_day(timezone.now())
    wanted = JointRequest(
        asked.joint, read, asked.property_class, asked.preparation, asked.thread, asked.facts
    )
    return as_json(joint_setting(wanted, day))


@router.post(
    "/fit/rule", response=ANSWERED, operation_id="ask_fit_rule", summary=worded("Does it fit, by one rule.")
)
def fit_by_rule(request: HttpRequest, asked: FitBody) -> object:
    """Fits, fits with, does not fit, or cannot tell because."""
    return rule_json(fit_rule(asked.rule, asked.given))


@router.post(
    "/bike/{tag}/fit",
    response=ANSWERED,
    operation_id="ask_fit_bike",
    summary=worded("Check a bike's build, or a swap on it."),
)
def fit_of_bike(request: HttpRequest, tag: Tag, asked: SwapBody) -> object:
    """Every rule that the build, or the change, touches."""
    return build_json(fit_bike(tag, asked.changes))
