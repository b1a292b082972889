"""Every address of the screens, read off the address list: which are pages, and one example of each."""

import inspect
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver
from PIL import Image

from pinchbolt.bench.urls import urlpatterns
from pinchbolt.records.models import Bike, Event, Instrument, Part, Tool
from pinchbolt.workshop.day.calendar import feed_mark
from pinchbolt.workshop.proof.open_claim import ClaimRequest, open_claim, photograph_claim
from tests.bench.conftest import Cast
from tests.story import NOW


@dataclass(frozen=True, slots=True)
class Address:
    """An address with its gaps, such as bike/<str:tag>/, its name, and how it may be asked."""

    route: str
    name: str
    methods: frozenset[str]
    gaps: tuple[str, ...]

    @property
    def is_page(self) -> bool:
        """Whether it is looked at: not an act, and not a sheet on paper."""
        return "GET" in self.methods and not self.route.startswith("paper/")


def addresses() -> Iterator[Address]:
    """Every address of the screens."""
    yield from _below("", urlpatterns)


def _below(before: str, patterns: list[Any]) -> Iterator[Address]:
    for one in patterns:
        route = before + str(one.pattern)
        if isinstance(one, URLResolver):
            yield from _below(route, one.url_patterns)
        elif isinstance(one, URLPattern):
            gaps = tuple(gap.partition(">")[0].partition(":")[2] for gap in route.split("<")[1:])
            yield Address(route, str(one.name), _methods(one.callback), gaps)


def _methods(view: Any) -> frozenset[str]:
    """What the screen's own word (require_GET and the like) allows; a screen without one is asked both ways."""
    while view is not None:
        if inspect.isfunction(view) and view.__closure__:
            allowed = inspect.getclosurevars(view).nonlocals.get("request_method_list")
            if allowed is not None:
                return frozenset(allowed)
        view = getattr(view, "__wrapped__", None)
    return frozenset({"GET", "POST"})


def _part(cast: Cast, kind: str, place: str = "") -> int:
    there = Part.objects.filter(fittings__bike__tag=cast.tag, kind=kind)
    return (there.filter(place=place) if place else there).get().pk


def _claim(cast: Cast) -> int:
    """A claim about the bike's saddle; the same one whenever it is asked for."""
    saddle = Part.objects.filter(fittings__bike__tag=cast.tag, kind="saddle").get()
    asked = ClaimRequest("part", saddle.pk, "a rail broke")
    return open_claim(asked, by=cast.story.first, key="claim-of-pages", now=NOW).id


def _proof(cast: Cast) -> int:
    """A photo beside an act."""
    into = BytesIO()
    Image.new("RGB", (40, 30)).save(into, "JPEG")
    photo, mark = into.getvalue(), "proof-of-pages"
    photograph_claim(_claim(cast), "the rail", photo, by=cast.story.first, key=mark, now=NOW)
    return Event.objects.get(key=mark).pk


# What stands in the gap of an address; a gap that is new needs one more line here.
_GAPS: Mapping[str, Callable[[Cast], object]] = {
    "tag": lambda cast: cast.tag,
    "what": lambda _: "promise",
    "whose": lambda _: "shop",
    "mark": lambda _: feed_mark("shop"),
    "job": lambda cast: cast.job,
    "place": lambda _: "front-brake",
    "joint": lambda _: "stem-face-4",
    "table": lambda _: "limit",
    "id": lambda _: "chain-elongation-12to13",
    "tool": lambda _: Tool.objects.order_by("pk")[0].pk,
    "instrument": lambda _: Instrument.objects.order_by("pk")[0].pk,
    "owner": lambda cast: Bike.objects.get(tag=cast.tag).owner_id,
    "wheel": lambda cast: _part(cast, "wheel", "rear"),
    "part": lambda cast: _part(cast, "stem"),
    "kind": lambda _: "tool",
    "number": lambda _: Tool.objects.order_by("pk")[0].pk,
    "claim": _claim,
    "event": _proof,
}
# Acts are needed for some; whoever counts acts makes these first: gaps_of(cast, MADE).
MADE = "<int:claim><int:event>"


def gaps_of(cast: Cast, route: str) -> Mapping[str, object]:
    """One example of everything that an address names."""
    names = re.findall(r"<(?:\w+:)?(\w+)>", route)
    return {gap: _GAPS[gap](cast) for gap in dict.fromkeys(names) if gap in _GAPS}


def filled(route: str, cast: Cast) -> str:
    """An address with its gaps filled."""
    for gap, value in gaps_of(cast, route).items():
        for sort in ("str", "int", "slug"):
            route = route.replace(f"<{sort}:{gap}>", str(value))
    assert "<" not in route, f"{route}: say in tests/bench/pages.py what stands in this gap"
    return f"/{route}"


PAGES = tuple(one.route for one in addresses() if one.is_page)
ACTS = tuple(one.route for one in addresses() if "GET" not in one.methods)
# Pages that look otherwise with a question behind the address.
MORE = (
    "check-in/?template=track",
    "check-in/?owner_of=PB-001",
    "check-in/?new=Ada Fenwick",
    "find/?find=dov&leads=check-in",
    "kit/?bike=PB-001",
    "bike/PB-001/bolt-round/?which=whole&moved=stem-face-4",
    "gears/?rings=50/34&sprockets=11-13-15-18-21-24-28&tyre=28-622&after_sprockets=11-36",
    "fit/?words=11 speed cassette on 10 speed body",
    "fit/?bike=PB-001&part=cassette",
    "tyre/?marking=28-622&rim_inner_mm=19&hooked=yes&total_kg=85&tyre_max_bar=7",
    "settings/limits/?find=chain",
    "settings/limits/?ours=yes",
    "settings/prices/?factor=1.17&step=0.50",
    "settings/row/operation/chain/",
    "settings/row/joint/stem-face-4/",
    "settings/safe-keeping/?look=yes",
    "job/<int:job>/wheels/<int:wheel>/build/?spoke_count=32&erd_mm=602&circle_left_mm=45&circle_right_mm=45&offset_left_mm=35"
    "&offset_right_mm=17.5&crossings_left=3&crossings_right=3&spoke_kind=plain-2.0",
    "job/<int:job>/markings/?what=torque&of=stem-face-4&name=stem",
    "claims/of/instrument/1/",
    "chain-length/?stay_mm=410&ring=50&sprocket=34",
)


def every_page_drawn(client: Client, cast: Cast) -> dict[str, str]:
    """What each page says to this client, by the address that it led to; what is no page of its own (a file, a refusal) is left out."""
    drawn = {}
    for route in (*PAGES, *MORE):
        address = filled(route, cast)
        told = client.get(address, follow=True)
        if told.status_code == 200 and told["Content-Type"].startswith("text/html"):
            led = told.redirect_chain[-1][0] if told.redirect_chain else address
            drawn[led] = told.content.decode()
    return drawn
