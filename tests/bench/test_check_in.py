"""Taking a bike in: a known one, a new one, and nothing lost when a value is refused."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import Bike, Distance, Job, Owner, Part, Person
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.rides.exposure import use_of
from tests.bench.conftest import Cast
from tests.story import NOW
from tests.workshop.ride_story import ride_of

pytestmark = pytest.mark.django_db

NEW = {
    "template": "gravel-1x",
    "owner_name": "Hal Pemberfold",
    "owner_phone": "01632 960200",
    "owner_reach": "text",
    "bike_words": "green steel gravel bike",
    "speeds": "11",
    "use_class": "mud",
    "owner_words": "Chain is nearly new.",
    "seen_words": "dent in a tube",
    "left_with": "key, front light",
    "spend_limit": "39.50",
    "promise_day": "2026-11-27",
    "promise_hour": "12:00",
    "km_a_week": "1,250",
}


def test_a_new_bike_is_taken_in_with_all_that_was_said(cast: Cast, tablet: Client) -> None:
    """One page, one press: bike, owner, words, promise in the workshop's own time, limit to the penny."""
    answer = tablet.post("/check-in/", {**NEW, "key": "new-bike-0001"})
    job = Job.objects.latest("pk")
    assert (answer.status_code, answer["Location"]) == (303, f"/job/{job.pk}/check-in/")
    assert (job.bike.words, job.bike.owner.name, job.bike.use_class) == (
        "green steel gravel bike", "Hal Pemberfold", "mud",
    )  # fmt: skip
    assert (job.owner_words, job.seen_words, job.left_with) == (
        "Chain is nearly new.", "dent in a tube", "key, front light",
    )  # fmt: skip
    assert job.spend_limit == Decimal("39.50")
    # London keeps UTC in November.
    assert job.promise == datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
    assert job.bike.km_a_week == 1250


def test_a_double_tap_takes_the_bike_in_once(
    cast: Cast, tablet: Client, counted: Callable[[str], int]
) -> None:
    """The same request mark is the same act: one event, one job, the same answer."""
    before = counted("checked in")
    first = tablet.post("/check-in/", {**NEW, "key": "double-tap-1"})
    second = tablet.post("/check-in/", {**NEW, "key": "double-tap-1"})
    assert first["Location"] == second["Location"]
    assert counted("checked in") == before + 1


def test_every_page_brings_a_request_mark_of_its_own(cast: Cast, tablet: Client) -> None:
    """Two pages that were opened are two acts."""
    marks = [
        re.findall(
            r'name="key" value="([0-9a-f]{32})"', tablet.get("/check-in/?template=track").content.decode()
        )
        for _ in range(2)
    ]
    assert len(marks[0]) == 1
    assert marks[0] != marks[1]


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("km_a_week", "25000", "The distance a week is 25000 km: 0 to 2000 km is possible. Was 250 meant?"),
        (
            "km_a_week",
            "far",
            "&quot;far&quot;: a number in km is expected. Type the figures only.",
        ),
        ("spend_limit", "39.505", "0 to 100,000 in steps of 0.01 is possible."),
        ("spend_limit", "lots", "&quot;lots&quot;: an amount in GBP is expected"),
        ("owner_name", "", "Fill in the owner&#x27;s name."),
        ("speeds", "19", "The bike has 19 rear sprockets: 1 to 14 is possible. Count the sprockets."),
        ("use_class", "on the moon", "The riding &quot;on the moon&quot; is not known"),
        (
            "owner_words",
            "x" * 2001,
            "What the owner says has 2,001 characters: 2000 are allowed. Shorten it.",
        ),
        ("promise_day", "soon", "Pick a day and an hour, or &quot;no day promised&quot;."),
        ("promise_day", "2026-11-20", "The promise is 20 Nov 2026 12:00: it must lie ahead, within a year."),
    ],
)
def test_a_refused_value_comes_back_with_every_entry_kept(
    cast: Cast, tablet: Client, field: str, typed: str, said: str
) -> None:
    """The sentence is shown, nothing was written, and everything else is still in the page."""
    jobs, owners = Job.objects.count(), Owner.objects.count()
    answer = tablet.post("/check-in/", {**NEW, field: typed, "key": "refused-0001"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert (Job.objects.count(), Owner.objects.count()) == (jobs, owners)
    for name, value in NEW.items():
        if name != field:
            assert _stands_in(page, name, value), f"{name} was lost"


def _stands_in(page: str, name: str, value: str) -> bool:
    """Whether the page holds *value* in the field *name*: as text, as a text area's words, or as the tapped button."""
    if re.search(rf'<textarea name="{name}"[^>]*>\s*{re.escape(value)}</textarea>', page):
        return True
    boxes = re.findall(rf'<input[^>]*name="{name}"[^>]*>', page)
    return any(f'value="{value}"' in box and ('type="radio"' not in box or "checked" in box) for box in boxes)


def test_a_known_bike_is_taken_in_with_its_distance(cast: Cast, tablet: Client) -> None:
    """The owner's word about the distance since last time is kept with how it is known."""
    unsafe = HandOverRequest(cast.job, acknowledged=True, as_unsafe=True)
    hand_over(unsafe, by=cast.mechanic.pk, key=cast.story.key(), now=NOW)
    page = tablet.get("/check-in/", {"tag": cast.tag.lower()}).content.decode()
    assert "Dov Ellenby" in page
    entries = {"tag": cast.tag, "distance_km": "480", "owner_words": "creaks", "key": "known-0001"}
    answer = tablet.post("/check-in/", entries)
    assert answer.status_code == 303
    said = Distance.objects.get(bike__tag=cast.tag)
    assert (said.km, said.known) == (480, "owner's word")
    assert Bike.objects.count() == 1


def test_a_bike_that_is_here_leads_to_its_job_instead(cast: Cast, tablet: Client) -> None:
    """The page says so before anything is typed, and the act is refused."""
    page = tablet.get("/check-in/", {"tag": cast.tag}).content.decode()
    assert f"{cast.tag} is here already" in page
    assert f'href="/job/{cast.job}/looks/"' in page
    answer = tablet.post("/check-in/", {"tag": cast.tag, "key": "twice-0001"})
    assert answer.status_code == 409
    assert "Open its job." in answer.content.decode()


def test_no_day_is_no_promise_and_another_day_counts(cast: Cast, tablet: Client) -> None:
    """A promise is never invented."""
    tablet.post("/check-in/", {**NEW, "promise_day": "none", "key": "no-promise-1"})
    assert Job.objects.latest("pk").promise is None
    tablet.post(
        "/check-in/",
        {
            **NEW,
            "same_as": "another",
            "promise_day": "",
            "promise_other": "2026-12-24",
            "key": "other-day-01",
        },
    )
    assert Job.objects.latest("pk").promise == datetime(2026, 12, 24, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(("asked", "status"), [({"tag": "ZZ-99"}, 404), ({"template": "penny"}, 422)])
def test_an_unknown_tag_or_build_is_said_plainly(
    cast: Cast, tablet: Client, asked: dict[str, str], status: int
) -> None:
    """Neither is a bare error page."""
    answer = tablet.get("/check-in/", asked)
    assert answer.status_code == status
    assert next(iter(asked.values())) in answer.content.decode()


def test_the_counter_may_take_a_bike_in(cast: Cast, signed_in: Callable[[Person], Client]) -> None:
    """Checking in is what the counter does."""
    answer = signed_in(cast.counter).post("/check-in/", {**NEW, "key": "counter-0001"})
    assert answer.status_code == 303


def test_a_request_without_a_mark_is_refused(cast: Cast, tablet: Client) -> None:
    """Without its mark a double tap could not be told from two bikes."""
    answer = tablet.post("/check-in/", NEW)
    assert answer.status_code == 422
    assert "The request mark has 0 characters" in answer.content.decode()


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_other_methods_are_not_answered(cast: Cast, tablet: Client, method: str) -> None:
    """Check-in is looked at or sent, nothing else."""
    assert getattr(tablet, method)("/check-in/").status_code == 405


@pytest.mark.parametrize(
    ("said", "km"),
    [({"since": "all along"}, 60.0), ({"since": "new", "on_since": "2026-03-03"}, 30.0), ({}, None)],
)
def test_a_first_time_owner_says_since_when_and_the_files_count(
    cast: Cast, tablet: Client, said: dict[str, str], km: float | None
) -> None:
    """Check-in, two rides of the spring dropped: the chain has them, those since its day, or says that it may have them."""
    made = tablet.post(
        "/check-in/", {"template": "road-disc", "owner_name": "First Timer", "key": "first-0001", **said}
    )
    assert made.status_code == 303
    bike = Bike.objects.latest("pk")
    sent = [SimpleUploadedFile(f"{day}.fit", ride_of(day)) for day in (0, 3)]
    tablet.post(f"/bike/{bike.tag}/rides/files/", {"files": sent, "key": "first-0002"})
    chain = Part.objects.get(kind="chain", fittings__bike=bike)
    assert use_of(chain, timezone.localdate()).km == (km or 0.0)
    page = tablet.get(f"/bike/{bike.tag}/").content.decode()
    assert ("0 to 60 km, not known since when" in page) is (km is None)
    lines = tablet.get(f"/bike/{bike.tag}/rides/?part={chain.pk}").content.decode()
    assert ("Up to 60 km more from before we first saw it" in lines) is (km is None)
    answer = tablet.post(
        f"/bike/{bike.tag}/rides/since/", {"part": chain.pk, "all_along": "yes", "key": "since-00001"}
    )
    assert answer.status_code == 303
    assert use_of(chain, timezone.localdate()).km == 60.0


def test_new_on_a_day_needs_the_day(cast: Cast, tablet: Client) -> None:
    """'New on' without a day is no answer, and nothing is lost of what was typed."""
    answer = tablet.post(
        "/check-in/",
        {"template": "road-disc", "owner_name": "First Timer", "key": "first-0001", "since": "new"},
    )
    assert answer.status_code == 422
    assert "A day is needed here. Choose it in the calendar" in answer.content.decode()
    assert "First Timer" in answer.content.decode()
