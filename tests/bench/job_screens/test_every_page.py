"""The same questions asked of every page of the job screens."""

import pytest
from django.test import Client

from tests.bench import pages
from tests.bench.job_screens.acts import as_it_is
from tests.bench.job_screens.conftest import Stage, asked_for, looked_over, ready, started
from tests.story import STEM, Story

# Read off the address list; a joint's page is there only while its joint is on the sheet, and is asked below. A wheel's has a number
# of its own (tests/bench/test_wheel_sheet.py), and the days to promise are laid into other pages while there is something to promise.
OF_A_JOB = "job/<int:job>/"
PAGES = tuple(
    page.removeprefix(OF_A_JOB).replace("<slug:place>", "chain").replace("<slug:what>", "promise")
    for page in pages.PAGES
    if page.startswith(OF_A_JOB)
    and "<str:joint>" not in page
    and "<int:wheel>" not in page
    and page != f"{OF_A_JOB}days/"
)
# A way out of something that came up is one form at one address: looked at, and sent back to it.
SENT_TO_ITSELF = ("came-up/promise/",)
STAGES: dict[str, Stage] = {
    "arrived": as_it_is, "asked for": asked_for, "at work": started, "looked over": looked_over, "ready": ready,
}  # fmt: skip


@pytest.mark.parametrize("stage", STAGES)
def test_every_page_opens_at_every_stage(stage: str, arrived: Story, ines: Client) -> None:
    """A page can be opened out of turn; it says whose bike it is and holds one main part without inline script or style."""
    STAGES[stage](arrived)
    for page in PAGES:
        answer = ines.get(f"/job/{arrived.job}/{page}", follow=True)
        text = answer.content.decode()
        assert answer.status_code == 200, page
        assert arrived.tag in text
        assert "Dov Ellenby" in text
        assert text.count('<main id="main"') == 1
        assert " style=" not in text
        assert " onclick=" not in text


@pytest.mark.parametrize("page", [*PAGES, f"work/torque/{STEM}/"])
def test_a_page_is_for_those_who_work_here(page: str, arrived: Story, ines: Client) -> None:
    """Signed out leads to the sign-in and back to the page afterwards."""
    answer = Client().get(f"/job/{arrived.job}/{page}")
    assert answer.status_code == 302
    assert answer["Location"] == f"/sign-in/?next=/job/{arrived.job}/{page}"


@pytest.mark.parametrize("page", [*PAGES, f"work/torque/{STEM}/"])
def test_a_page_of_an_unknown_job_says_so(page: str, ines: Client) -> None:
    """A job that is not there is a plain sentence, and so is one whose number no database holds."""
    for job in (987654, 10**25):
        answer = ines.get(f"/job/{job}/{page}")
        assert answer.status_code == 404
        assert "There is no job" in answer.content.decode()


@pytest.mark.parametrize("page", [page for page in PAGES if page not in SENT_TO_ITSELF])
def test_a_page_takes_no_post(page: str, arrived: Story, ines: Client) -> None:
    """Pages are looked at; acts have addresses of their own."""
    assert ines.post(f"/job/{arrived.job}/{page}", {}).status_code == 405


def test_an_unknown_place_or_joint_says_so(arrived: Story, ines: Client) -> None:
    """A place that this bike has not, or a joint that is not on the sheet, is a plain sentence."""
    for page in ("walk-round/moon/", "work/torque/stem-face-9/"):
        answer = ines.get(f"/job/{arrived.job}/{page}")
        assert answer.status_code == 404
        assert "Choose one" in answer.content.decode()


def test_the_counter_may_look(arrived: Story, ines: Client, wren: Client) -> None:
    """Whoever stands at the counter sees the same pages."""
    started(arrived)
    for page in PAGES:
        assert wren.get(f"/job/{arrived.job}/{page}", follow=True).status_code == 200


def test_words_of_people_stay_words(arrived: Story, ines: Client) -> None:
    """What an owner or mechanic wrote is shown, never run."""
    nasty = "<script>alert(1)</script>"
    ines.post(
        f"/job/{arrived.job}/walk-round/headset/found/",
        {"key": "nasty-words-1", "words": nasty, "verdict": "unsafe to ride"},
    )
    for page in ("findings/", "walk-round/headset/", "sign-off/", "handover/"):
        text = ines.get(f"/job/{arrived.job}/{page}").content.decode()
        assert "alert(1)" in text
        assert nasty not in text
