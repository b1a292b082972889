"""Which tools go into the bag: bikes and joints chosen by taps, the kit with its proof, ties and what each tool is for."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.torque.choose_kit import (
    ALL,
    BikeToPack,
    KitRequest,
    KitView,
    bikes_to_pack,
    choices,
    kit_for_bikes,
    tools_counted,
)

LEAST = (("count", worded("fewest tools")), ("mass", "lightest"), ("price", "cheapest"))
TORQUE = (
    ("critical", worded("joints that can throw the rider")),
    ("every", worded("every joint")),
    ("none", "none"),
)
TOOLS = (("board", worded("what hangs here")), ("table", worded("any tool")))


@dataclass(frozen=True, slots=True)
class KitPage(Page):
    """What is shown: the kit."""

    title: str
    asked: KitRequest
    bikes: tuple[BikeToPack, ...]
    choices: tuple[tuple[str, str], ...]
    least: tuple[tuple[str, str], ...]
    torque: tuple[tuple[str, str], ...]
    tool_sets: tuple[tuple[str, str], ...]
    kit: KitView | None
    counted: str
    query: str
    currency: str
    dropped: str


@require_safe
def kit(request: HttpRequest) -> HttpResponse:
    """Show the choice and, once a bike is chosen, the kit for it. Nothing is written."""
    asked = _asked(request)
    form, found = BenchForm(), None
    if asked.bikes:
        with form.refusable():
            found = kit_for_bikes(asked, local_day(now()))
    chosen = [
        ("bike", asked.bikes), ("choose", [asked.choose]), ("least", [asked.least]), ("torque", [asked.torque]),
        ("tools", [asked.tools]),
    ]  # fmt: skip
    query = urlencode([(name, value) for name, values in chosen for value in values])
    page = KitPage(
        title=worded("kit"),
        asked=asked,
        bikes=bikes_to_pack(asked.bikes),
        choices=choices(),
        least=LEAST,
        torque=TORQUE,
        tool_sets=TOOLS,
        kit=found,
        counted=tools_counted(found.count) if found else "",
        query=query,
        currency=terms().currency,
        dropped=_dropped(found),
    )
    return screen(request, "kit/kit.html", page, form)


def _asked(request: HttpRequest) -> KitRequest:
    given = request.GET
    tags = [tag.strip().upper()[:12] for tag in given.getlist("bike") if tag.strip()]
    return KitRequest(
        bikes=tuple(dict.fromkeys(tags)),
        choose=given.get("choose", ALL),
        least=given.get("least", "count"),
        torque=given.get("torque", "critical"),
        tools=given.get("tools", "board"),
        without=given.get("without", ""),
    )


def _dropped(found: KitView | None) -> str:
    """The name of the tool that was asked to be left out."""
    if found is None or found.without is None:
        return ""
    return next((tool.name for tool in found.tools if tool.id == found.without.tool), found.without.tool)
