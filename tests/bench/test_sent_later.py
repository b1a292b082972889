"""What a tablet sends later: written down under the name of who did it or not at all, and told when it was done."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from tests.bench.conftest import Cast
from tests.story import NOW

pytestmark = pytest.mark.django_db


def sent(
    tablet: Client,
    cast: Cast,
    by: int,
    *,
    age: str = "0",
    key: str = "sent-later-0001",
    words: str = "Creaks",
) -> object:
    """A finding as the tablet's worker sends it."""
    return tablet.post(
        f"/job/{cast.job}/walk-round/front-brake/found/",
        {"words": words, "verdict": "keep an eye on it", "part": "", "key": key},
        headers={"X-Act-By": str(by), "X-Act-Age": age},
    )


def test_it_is_written_once_and_says_where_to_look(
    cast: Cast, tablet: Client, counted: Callable[[str], int]
) -> None:
    """The answer was lost, so it comes again with its mark: answered as the first time, and written once."""
    first, again = (sent(tablet, cast, cast.mechanic.pk) for _ in range(2))
    assert first.status_code == again.status_code == 200  # type: ignore[attr-defined]
    assert first["X-Act-See"].startswith(f"/job/{cast.job}/walk-round/") and counted("found") == 1  # type: ignore[index]


def test_nobody_writes_under_another_name(cast: Cast, tablet: Client, counted: Callable[[str], int]) -> None:
    """Somebody else has taken the tablet over meanwhile: it is asked for again, and nothing is written."""
    answer = sent(tablet, cast, cast.second.pk)
    assert answer.status_code == 409 and answer["X-Act-Again"] and counted("found") == 0  # type: ignore[attr-defined, index]
    stranger = sent(Client(), cast, cast.mechanic.pk)
    assert stranger.status_code == 401 and stranger["X-Act-Again"] and counted("found") == 0  # type: ignore[attr-defined, index]


def test_a_refusal_says_its_reason_in_the_head(
    cast: Cast, tablet: Client, counted: Callable[[str], int]
) -> None:
    """Nobody sees the page any more: the tablet shows the sentence."""
    answer = sent(tablet, cast, cast.mechanic.pk, words="")
    assert 400 <= answer.status_code < 500 and "%20" in answer["X-Refused"] and counted("found") == 0  # type: ignore[attr-defined, index]


@pytest.mark.parametrize(
    ("age", "told"),
    [
        ("0", None),
        ("60", None),
        ("7200", timedelta(hours=2)),
        ("90000", timedelta(hours=25)),
        ("x", None),
        ("99999999", None),
    ],
)
def test_when_it_was_done_stands_beside_when_it_was_written(
    cast: Cast, tablet: Client, age: str, told: timedelta | None
) -> None:
    """By the tablet's own count of seconds, so that its clock may be wrong; what is too long ago to be true is not believed."""
    sent(tablet, cast, cast.mechanic.pk, age=age)
    said = Event.objects.get(kind="found").said
    assert said.get("done_at") == (None if told is None else (NOW - told).isoformat(timespec="minutes"))
    lines = [
        line.words for line in bike_sheet(cast.tag, NOW).history if "sent when there was signal" in line.words
    ]
    if told is not None and lines:
        assert f"{timezone.localtime(NOW - told):%H:%M}" in lines[0]


def test_pages_that_may_be_kept_say_whose_they_are(
    cast: Cast, tablet: Client, signed_in: Callable[[Person], Client]
) -> None:
    """Shop day and pages of a job, with the person; nothing of people, settings, owners or money lies on a tablet."""
    assert tablet.get("/")["X-Keep"] == f"day {cast.mechanic.pk} {cast.job}"
    assert tablet.get(f"/job/{cast.job}/work/")["X-Keep"] == f"job {cast.mechanic.pk} {cast.job}"
    owner = signed_in(cast.owner)
    for page in ("/settings/", "/settings/people/", "/sign-in/", "/keeping/", f"/bike/{cast.tag}/"):
        assert "X-Keep" not in owner.get(page, follow=True)


def test_the_worker_may_stand_before_every_page(client: Client) -> None:
    """It lies among the scripts, and is asked for anew by each release."""
    answer = client.get("/static/bench/worker.js")
    assert answer["Service-Worker-Allowed"] == "/" and answer["Cache-Control"] == "no-cache"
    assert "Service-Worker-Allowed" not in client.get("/static/bench/keep.js")
