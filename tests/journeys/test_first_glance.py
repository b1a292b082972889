"""What a page of a job shows before anybody scrolls: whose bike and which step in a narrow strip, and the thing to do.

The pages are drawn by the test's own client and laid into one browser at both sizes.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect

from pinchbolt.records.models import Person, Workshop
from tests import story
from tests.bench.conftest import clock, no_tries  # noqa: F401 (fixtures)
from tests.bench.job_screens.conftest import asked_for, client_of, ready, started, with_brake_work
from tests.bench.pages import PAGES
from tests.journeys.browser import SIZES
from tests.journeys.laid import laid_pages
from tests.story import STEM, Story
from tests.workshop.wheels.wheel_story import brought, in_stand, rear_of

pytestmark = pytest.mark.django_db

MOST_PX = {"tablet": 120, "phone": 160}
"""Head and strip together, a finger high each: what is left of the tablet's 820 and the phone's 844 px is the work's."""
LEAST = 44
"""Side of a target in CSS pixels: WCAG 2.5.5."""


def taken_in(on: Story) -> Story:
    """Just checked in."""
    return on


# The stage at which a step's page has its thing to do, and the address below the job.
STEPS: tuple[tuple[Callable[[Story], Story], tuple[str, ...]], ...] = (
    (taken_in, ("check-in/", "looks/", "walk-round/", "findings/", "estimate/")),
    (asked_for, ("findings/", "findings/counter/", "estimate/", "work/", "handover/")),
    (started, ("work/", "work/torque/", f"work/torque/{STEM}/", "sign-off/", "handover/")),
    (with_brake_work, ("sign-off/",)),
    (ready, ("sign-off/", "handover/")),
)
MEASURE = """() => {
  const shown = (one) => one.checkVisibility() && one.getBoundingClientRect().height > 0;
  const bottom = (one) => Math.round(one.getBoundingClientRect().bottom + scrollY);
  const strip = document.querySelector("main .way"), demo = document.querySelector(".demo-band");
  const band = demo ? bottom(demo) : 0;
  const acts = [...document.querySelectorAll("main [data-do]")].filter(shown).map((one) => [one.innerText, bottom(one) - band]);
  const small = [...document.querySelectorAll(".job-top a")].filter((one) => one.getBoundingClientRect().height < LEAST);
  const left = strip.getBoundingClientRect().left, right = strip.getBoundingClientRect().right;
  const steps = [...document.querySelectorAll(".way-here, .way-next")].map((one) => one.getBoundingClientRect());
  return {
    strip: Math.max(bottom(strip), bottom(document.querySelector(".job-top"))) - band,
    act: acts.length ? acts.reduce((a, b) => (a[1] <= b[1] ? a : b)) : null,
    wide: document.documentElement.scrollWidth,
    small: small.map((one) => one.innerText),
    hidden: steps.filter((one) => one.left < left - 1 || one.right > right + 1).length,
  };
}""".replace("LEAST", str(LEAST))


PAGES_LAID: dict[str, str] = {}


@pytest.fixture(scope="module")
def pages(one_browser: Browser) -> Iterator[BrowserContext]:
    """Where all tests open their pages, so that the browser keeps our scripts and styles; of a tablet that speaks American."""
    with laid_pages(one_browser, PAGES_LAID, language="en-US") as found:
        yield found


@pytest.fixture
def phone(pages: BrowserContext) -> Iterator[Page]:
    """An empty page of a phone's size."""
    with pages.new_page() as page:
        page.set_viewport_size(px("phone"))
        yield page


def px(size: str) -> ViewportSize:
    """The window at this size."""
    width, height = SIZES[size]
    return {"width": width, "height": height}


def laid(page: Page, path: str, body: str) -> None:
    """Lay a drawn page into the browser, and no other, with our own files beside it."""
    PAGES_LAID.clear()
    PAGES_LAID[path] = body
    page.goto(path)


def drawn(client: Client, path: str) -> str:
    """A page as it is sent, where it is one."""
    told = client.get(path, follow=True)
    assert told.status_code == 200, path
    return told.content.decode()


def measured(pages: BrowserContext, bodies: dict[str, str]) -> dict[tuple[str, str], dict[str, Any]]:
    """What each drawn page shows at each size, by its path and the size."""
    found = {}
    with pages.new_page() as page:
        for path, body in bodies.items():
            laid(page, path, body)
            for size in SIZES:
                page.set_viewport_size(px(size))
                page.evaluate("dispatchEvent(new Event('resize'))")
                found[path, size] = page.evaluate(MEASURE)
    return found


@pytest.mark.parametrize(("stage", "below"), STEPS, ids=[one.__name__ for one, _ in STEPS])
def test_the_thing_to_do_stands_in_the_first_glance(
    db: None, pages: BrowserContext, stage: Callable[[Story], Story], below: tuple[str, ...]
) -> None:
    """At every step, at both sizes: the strip is narrow, its targets are large, and one thing to do ends above the fold."""
    on = stage(story.checked_in("gravel-1x"))
    client = client_of("ines")
    bodies = {path: drawn(client, path) for path in (f"/job/{on.job}/{one}" for one in below)}
    wrong = wrong_at_first_glance(pages, bodies)
    assert not wrong, "\n".join(wrong)


def wrong_at_first_glance(pages: BrowserContext, bodies: dict[str, str]) -> list[str]:
    """Where head and strip are broad, a target small, or the thing to do stands under the fold."""
    wrong = []
    for (path, size), seen in measured(pages, bodies).items():
        width, height = SIZES[size]
        if seen["strip"] > MOST_PX[size] or seen["small"] or seen["hidden"]:
            wrong.append(f"{size} {path}: head and strip {seen}")
        if seen["act"] is None or seen["act"][1] > height:
            wrong.append(f"{size} {path}: thing to do {seen['act']}")
        if seen["wide"] > width:
            wrong.append(f"{size} {path}: {seen['wide']} px wide")
    return wrong


def test_the_wheel_sheet_shows_its_next_act(db: None, pages: BrowserContext) -> None:
    """Not measured, measured, read and half turned, turned: each time what comes next ends above the fold."""
    on = brought()
    client, below = client_of("ines"), f"/job/{on.job}/wheels/{rear_of(on)}/"
    bodies = {f"{below}?stage=new": drawn(client, below)}
    stand = in_stand(told=on)
    bodies[f"{below}?stage=measured"] = drawn(client, below)
    stand.read()
    bodies[f"{below}?stage=read"] = drawn(client, below)
    while (one := stand.sheet().next) is not None:
        stand.turn(one.spoke, one.quarters)
    bodies[f"{below}?stage=turned"] = drawn(client, below)
    wrong = wrong_at_first_glance(pages, bodies)
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("stage", [asked_for, started, ready], ids=lambda one: one.__name__)
def test_the_money_page_shows_its_act(
    db: None, pages: BrowserContext, stage: Callable[[Story], Story]
) -> None:
    """Whatever is agreed and done: the note is written without scrolling."""
    on = stage(story.checked_in("gravel-1x"))
    path = f"/job/{on.job}/money/"
    wrong = wrong_at_first_glance(pages, {path: drawn(client_of("ines"), path)})
    assert not wrong, "\n".join(wrong)


def test_every_page_of_a_job_has_the_narrow_strip(db: None, pages: BrowserContext) -> None:
    """Also those off the way, and with the longest names; once collected it is as narrow."""
    on = started(story.checked_in("gravel-1x"))
    Person.objects.filter(pk=on.first).update(name="Wilhelmina Featherstonehaugh-Cholmondeley")
    owner = on.record.bike.owner
    owner.name = "Bartholomew Throckmorton-Fotheringay the Younger"
    owner.save()
    client, bodies = client_of("ines"), {}
    for route in (one for one in PAGES if one.startswith("job/<int:job>/") and one.count("<") == 1):
        path = "/" + route.replace("<int:job>", str(on.job))
        told = client.get(path, follow=True)
        if told.status_code == 200 and 'class="way"' in told.content.decode():
            bodies[path] = told.content.decode()
    assert len(bodies) > 12
    found = measured(pages, bodies)
    wrong = {
        at: seen
        for at, seen in found.items()
        if seen["strip"] > MOST_PX[at[1]] or seen["wide"] > SIZES[at[1]][0]
    }
    assert not wrong, "\n".join(f"{at}: {seen}" for at, seen in wrong.items())


def test_what_was_refused_is_said_once_and_in_view(db: None, phone: Page) -> None:
    """Beside its field, and not above the form as well; the field is brought into view on a page of three screens."""
    story.checked_in("gravel-1x")
    sent = {
        "template": "gravel-1x",
        "owner_name": "Ada Fenwick",
        "spend_limit": "lots",
        "key": "refused-once-1",
    }
    told = client_of("ines").post("/check-in/", sent)
    assert told.status_code == 422
    laid(phone, "/check-in/", told.content.decode())
    said = phone.get_by_text("an amount in GBP is expected").filter(visible=True)
    said.first.wait_for()
    assert said.count() == 1
    where = said.bounding_box()
    assert where is not None and 0 < where["y"] < 844


def test_a_refused_form_stays_in_view_where_it_was_refused(db: None, phone: Page) -> None:
    """As it is sent at the bench: the answer is laid in place of the page, which then goes to its top. "Not saved" alone says nothing."""
    story.checked_in("gravel-1x")
    client, path = client_of("ines"), "/check-in/?template=gravel-1x"
    sent = {
        "template": "gravel-1x",
        "owner_name": "Ada Fenwick",
        "spend_limit": "lots",
        "key": "refused-once-2",
    }
    body, refused = drawn(client, path), client.post("/check-in/", sent).content.decode()
    laid(phone, path, body)
    phone.route(
        re.compile("/check-in/"),
        lambda route: (
            route.fulfill(body=refused, status=422, content_type="text/html; charset=utf-8")
            if route.request.method == "POST"
            else route.fallback()
        ),
    )
    phone.get_by_role("button", name="check the bike in").click()
    said = phone.get_by_text("an amount in GBP is expected").filter(visible=True)
    said.first.wait_for()
    phone.wait_for_timeout(500)
    where = said.bounding_box()
    assert where is not None and 0 < where["y"] < 844


def test_a_chosen_day_is_said_in_words(db: None, phone: Page) -> None:
    """The browser writes 03/04 by the tablet's language; beside it stands which day that is, also after a reload."""
    path = f"/job/{story.checked_in('gravel-1x').job}/came-up/promise/"
    body = drawn(client_of("ines"), path)
    laid(phone, path, body)
    day = phone.locator("#id_other")
    day.fill("2026-03-04")
    said = phone.locator(".day-in-words")
    expect(said).to_have_text(re.compile("Wednesday,? 4 March 2026"))
    phone.reload()
    expect(said).to_have_text(re.compile("Wednesday,? 4 March 2026"))
    day.fill("")
    expect(said).to_have_text("")


def test_the_head_is_one_row_whatever_the_names(db: None, pages: BrowserContext) -> None:
    """Of a shop and of who is signed in, each of sixty letters."""
    story.checked_in("gravel-1x")
    long = "Łódzka Pracownia Świętosława Brzęczyszczykiewicza i Spółka"
    Person.objects.update(name=long)
    Workshop.objects.update(name=long)
    body = drawn(client_of("ines"), "/")
    with pages.new_page() as page:
        laid(page, "/", body)
        for size, most in (("tablet", 75), ("phone", 130)):
            page.set_viewport_size(px(size))
            head = page.locator("header.head").bounding_box()
            assert head is not None and head["height"] <= most, (size, head)
            assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
