"""Finding: what is typed finds while it is typed; what is a whole tag opens at once."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.addresses import see
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.owners.find import BikeMatch, find_bikes, only_tag, scanned

CHECK_IN = "check-in"


@dataclass(frozen=True, slots=True)
class FindPage(Page):
    """What is shown: what was found; `leads` is "check-in" where a bike is to come in, else its page is looked at."""

    title: str
    wanted: str
    found: tuple[BikeMatch, ...]
    leads: str

    @property
    def whose(self) -> tuple[tuple[int, str], ...]:
        """The owners found, each once, for a further bike of theirs: only where they are few."""
        owners = tuple({one.owner_id: one.owner for one in self.found}.items())
        return owners if len(owners) <= 3 else ()


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Find (?find=); sent by Enter, a tag typed whole leads straight there. Asked while typing, only the lines are answered."""
    wanted = request.GET.get("find", "")[:120]
    leads = CHECK_IN if request.GET.get("leads") == CHECK_IN else ""
    typing = "HX-Request" in request.headers and "HX-Boosted" not in request.headers
    tag = "" if typing else only_tag(wanted)
    if tag:
        return see("check_in", query={"tag": tag}) if leads else see("bike", tag=tag)
    page = FindPage(
        title=worded("find"), wanted=scanned(wanted.strip()), found=find_bikes(wanted), leads=leads
    )
    return screen(request, "find/_found.html" if typing else "find/find.html", page)
