"""The settings: what stands now, who changed it last, and taking a change back."""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings as of_server
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import address, see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_form import TakeBackForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.tablets.sessions import signed_in_tablets
from pinchbolt.workshop.acts.manage_people import OWNER, people
from pinchbolt.workshop.acts.setting_changes import ChangeView
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.settings.change_words import changes_seen
from pinchbolt.workshop.settings.settings_lines import SettingsLine, newest_seen, settings_lines
from pinchbolt.workshop.settings.take_back import take_back

SCREENS = {
    "shop": "shop_terms", "days": "open_days", "people": "people", "prices": "prices", "limits": "limits",
    "words": "words", "tablets": "tablets", "safe keeping": "safe_keeping",
}  # fmt: skip
"""The screen of each page of the settings."""


@dataclass(frozen=True, slots=True)
class SettingsPage(Page):
    """What is shown: the eight lines."""

    title: str
    lines: tuple[tuple[str, SettingsLine], ...]


@dataclass(frozen=True, slots=True)
class SettingsFrame(Page):
    """What stands round every page of the settings: whose it is to change, and what was changed last."""

    title: str
    here: str
    is_owner: bool
    seen: int
    changes: tuple[ChangeView, ...]

    @property
    def newest(self) -> ChangeView | None:
        """The newest change, as the receipt of a save."""
        return self.changes[0] if self.changes else None


@require_safe
def settings(request: HttpRequest) -> HttpResponse:
    """The eight lines."""
    tablets, copies = len(signed_in_tablets(request)), Path(of_server.BACKUPS)
    lines = settings_lines(local_day(now()), tablets, copies)
    page = SettingsPage("settings", tuple((address(SCREENS[one.page]), one) for one in lines))
    return screen(request, "settings/settings.html", page)


@acts(TakeBackForm, lambda request, form: _refused(request, form))
def undo(act: SentAct[TakeBackForm]) -> HttpResponse:
    """Take a change back, and show its page."""
    return see(SCREENS[take_back(act.form.asked(), **act.mark)])


def frame_of(request: HttpRequest, page: str, title: str) -> SettingsFrame:
    """Return what stands round a page of the settings."""
    return SettingsFrame(
        title=title,
        here=address(SCREENS[page]),
        is_owner=any(one.id == by(request) and one.role == OWNER for one in people()),
        seen=newest_seen(page),
        changes=changes_seen(page),
    )


def _refused(request: HttpRequest, form: BenchForm) -> HttpResponse:
    lines = settings_lines(local_day(now()), len(signed_in_tablets(request)), Path(of_server.BACKUPS))
    page = SettingsPage("settings", tuple((address(SCREENS[one.page]), one) for one in lines))
    return screen(request, "settings/settings.html", page, form)
