"""The twenty everyday exceptions, each through its page: what the history says after, and what the next sheet on paper says.

One row each; the stories that go deeper into one stand beside the row.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from html import unescape
from importlib import import_module
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from pinchbolt.records.models import Event, Job, Person, WantedPart
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests import story
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import asked_for, key, lines_of, ready, started
from tests.bench.job_screens.test_came_up import go, history
from tests.bench.job_screens.test_photos import shot
from tests.story import NOW, Story

SignIn = Callable[[Person], Client]
TODAY = timezone.localtime(NOW).date()


@dataclass(frozen=True)
class Bench:
    """A story and the tablet on which it goes on."""

    cast: Cast
    tablet: Client
    on: Story

    def post(self, address: str, **said: object) -> str:
        """Send a form of a page of the job."""
        answer = self.tablet.post(f"/job/{self.on.job}/{address}/", {"key": key(), **said}, follow=True)
        assert answer.status_code == 200, answer.content.decode()[:3000]
        return unescape(answer.content.decode())

    def go(self, door: str, /, **said: object) -> str:
        """Send a short form of what came up."""
        return go(self.tablet, self.on, door, **said)

    def move(self, to: str, **said: object) -> None:
        """Move the part that is wanted on."""
        self.tablet.post(
            "/parts/move/", {"key": key(), "wanted": WantedPart.objects.get().pk, "to": to, **said}
        )

    def paper(self, sheet: str) -> str:
        """The words of a sheet, as it is printed now."""
        answer = self.tablet.get(f"/paper/{sheet}.pdf")
        assert answer.status_code == 200, answer.content.decode()
        pages = PdfReader(BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())


def _wrong_bike(bench: Bench) -> None:
    bench.go("call-off", reason="wrong tag", readings="of this bike")


def _half_way(bench: Bench) -> None:
    started(bench.on)
    bench.post("work/line", line=lines_of(bench.on)["tyre-tube"], new="said")
    bench.go("unfinished", how="by phone")


def _undone(bench: Bench) -> None:
    bench.go("own-line", words="Remove a seized post", minutes="40")
    event = Event.objects.filter(job=bench.on.job, kind="proposed").latest("pk")
    bench.post("came-up/undo", event=event.pk)


def _promise(bench: Bench) -> None:
    day = TODAY + timedelta(days=6)
    bench.go("promise", day=f"{day:%Y-%m-%d}", hour="12:00", why="waits for a part", told="by phone")


def _ordered(bench: Bench) -> None:
    started(bench.on)
    said = {"words": "chain", "line": lines_of(bench.on)["chain"], "part": 0, "count": 1}
    bench.tablet.post(f"/job/{bench.on.job}/parts/want/", {"key": key(), **said})
    bench.move("ordered", supplier="Harrow Supply", price="22", due=f"{TODAY + timedelta(days=2)}")


def _wrong_part(bench: Bench) -> None:
    _ordered(bench)
    bench.move("arrived")
    bench.move("wrong", words="does not fit")


def _late(bench: Bench) -> None:
    _ordered(bench)
    bench.move("late", due=f"{TODAY + timedelta(days=9)}")


def _not_reached(bench: Bench) -> None:
    asked_for(bench.on)
    bench.go("tried", how="phone")
    bench.go("tried", how="letter")


def _changed_mind(bench: Bench) -> None:
    asked_for(bench.on)
    line = lines_of(bench.on)["chain"]
    bench.post("estimate/answers", how="by phone", **{f"answer-{line}": "agreed"})
    bench.post("estimate/answers", how="at the counter", **{f"answer-{line}": "declined"})


def _further_fault(bench: Bench) -> None:
    started(bench.on)
    bench.go("found", words="Headset rough", verdict="next visit", operation="headset-adjust", ask="now")


def _other_hands(bench: Bench) -> None:
    started(bench.on)
    bench.go("hand-on", to=bench.cast.second.pk, note="caliper loose, bolts in tray 3")


def _two_bikes(bench: Bench) -> None:
    on = bench.on
    asked_for(on)
    check_in(
        CheckInRequest(owner_of=on.tag, template="track", bike_words="winter bike"),
        by=on.first,
        key=on.key(),
        now=NOW,
    )
    other = Story(Job.objects.latest("pk").pk, "", on.first, on.second, marks=200)
    go(bench.tablet, other, "own-line", words="Sticker of the shop", price="2.50")
    bench.go("ask-together", limit="400")


def _warranty(bench: Bench) -> None:
    started(bench.on)
    bench.go(
        "who-pays", line=lines_of(bench.on)["chain"], payer="maker's warranty", reason="fitted here 12 Mar"
    )


def _off(kind: str, **said: str) -> Callable[[Bench], None]:
    def way(bench: Bench) -> None:
        ready(bench.on)
        bench.go("discount", kind=kind, **said)
        _leave(bench)

    return way


def _leave(bench: Bench, **said: str) -> None:
    bench.post("handover/leave", acknowledged="1", **said)


def _deposit(bench: Bench) -> None:
    ready(bench.on)
    bench.post("money/note", what="deposit", amount="10", how="cash")
    _leave(bench)


def _photo(bench: Bench) -> None:
    sent = SimpleUploadedFile("a.jpg", shot(80, 60), content_type="image/jpeg")
    bench.post("photos/taken", about="check-in", words="dent left of the top tube", photo=sent)


def _lost_tag(bench: Bench) -> None:
    bench.go("tag", what="new")


def _collected(bench: Bench) -> None:
    ready(bench.on)
    _leave(bench, taken_by="Bram Winkfold", how_known="owner rang")


def _nobody(bench: Bench) -> None:
    ready(bench.on)
    later = NOW + timedelta(days=7)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("django.utils.timezone.now", lambda: later)
        bench.go("nobody", how="letter")


def _back(bench: Bench) -> None:
    story.handed_over(ready(bench.on))
    bench.go("came-back", cause="our work")


@dataclass(frozen=True)
class Row:
    """One of the twenty: how it goes, what the history says after, what which sheet says (or no longer says), and its further story."""

    name: str
    way: Callable[[Bench], None]
    history: str
    sheet: str
    says: str
    not_says: str = ""
    further: str = ""


_HERE = "tests.bench.job_screens."
TWENTY = (
    Row(
        "wrong bike",
        _wrong_bike,
        "called off, wrong tag",
        "job/{job}/job-card",
        "CALLED OFF",
        further="test_came_up.test_a_wrong_tag_is_called_off",
    ),
    Row(
        "called off half-way",
        _half_way,
        "called off|declined",
        "job/{job}/handover",
        "Not done, as you wished: new chain",
        further="test_came_up.test_a_job_with_done_work_is_handed_over_unfinished",
    ),
    Row(
        "last act undone",
        _undone,
        "^taken back: ",
        "job/{job}/estimate",
        ".",
        "seized post",
        further="test_came_up.test_i_did_not_do_it_after_all",
    ),
    Row(
        "promise moved",
        _promise,
        "^promise .*waits for a part$",
        "job/{job}/estimate",
        f"{TODAY + timedelta(days=6):%-d %b}",
        further="test_came_up.test_the_promise_moves_with_a_reason",
    ),
    Row(
        "part wrong",
        _wrong_part,
        "chain: wrong",
        "job/{job}/job-card",
        "waits for chain: wrong",
        further="test_parts_wanted.test_a_part_is_ordered_in_three_taps_and_comes",
    ),
    Row(
        "part late",
        _late,
        "late",
        "job/{job}/job-card",
        f"waits for chain: due .*{TODAY + timedelta(days=9):%-d %b}",
        further="test_parts_wanted.test_a_part_is_ordered_in_three_taps_and_comes",
    ),
    Row(
        "owner not reached",
        _not_reached,
        "^owner not reached, letter$",
        "job/{job}/estimate",
        "tried since.*phone.*letter",
        further="test_came_up.test_tried_counts_and_agreed_work_goes_on",
    ),
    Row(
        "changed mind",
        _changed_mind,
        "declined",
        "job/{job}/estimate",
        "declined.*at the counter|at the counter",
    ),
    Row(
        "further fault",
        _further_fault,
        "Headset rough",
        "job/{job}/estimate",
        "-2, asked",
        further="test_came_up.test_a_further_fault_is_found_priced_and_asked_in_one_form",
    ),
    Row(
        "another mechanic",
        _other_hands,
        "^handed on to ",
        "job/{job}/job-card",
        "handed on .* to ",
        further="test_came_up.test_the_job_goes_on_in_other_hands",
    ),
    Row(
        "two bikes, one owner",
        _two_bikes,
        "^asked together: ",
        "job/{job}/estimate",
        "Sticker of the shop.*all bikes together",
        further="test_asked_together.test_two_bikes_are_asked_about_in_one_asking",
    ),
    Row(
        "warranty",
        _warranty,
        "maker's warranty",
        "job/{job}/estimate",
        "no charge, maker.s warranty",
        further="test_came_up.test_a_warranty_line_costs_the_owner_nothing",
    ),
    Row(
        "goodwill",
        _off("goodwill", percent="10", reason="waited long"),
        "^goodwill 10 %, waited long$",
        "job/{job}/handover",
        "goodwill",
        further="test_given_away.test_what_a_person_gives_away_is_bounded_and_the_owner_of_the_workshop_gives_more",
    ),
    Row(
        "discount",
        _off("discount", amount="5", reason="regular"),
        "^discount £5",
        "job/{job}/bill",
        "regular.*5\\.00",
        further="test_came_up.test_a_discount_lowers_what_is_to_pay_with_its_tax",
    ),
    Row(
        "deposit",
        _deposit,
        "deposit",
        "job/{job}/bill",
        "(?i)deposit",
        further="test_money.test_a_deposit_comes_and_goes",
    ),
    Row(
        "photo",
        _photo,
        "photo",
        "job/{job}/job-card",
        ".",
        further="test_photos.test_a_photo_is_taken_seen_and_taken_away",
    ),
    Row(
        "lost tag",
        _lost_tag,
        "^tag .* lost, now ",
        "tag/{tag}",
        "{tag}",
        "{old}",
        further="test_came_up.test_a_lost_tag_goes_on_leading_to_the_bike",
    ),
    Row(
        "collected by another",
        _collected,
        "handed over",
        "job/{job}/handover",
        "Bram Winkfold, owner rang",
        further="test_came_up.test_somebody_else_collects",
    ),
    Row(
        "nobody collects it",
        _nobody,
        "letter",
        "job/{job}/handover",
        ".",
        further="test_came_up.test_nobody_collects_it",
    ),
    Row(
        "back next day",
        _back,
        "came back, our work",
        "job/{new}/estimate",
        "no charge, our own work again",
        further="test_came_up.test_it_came_back",
    ),
)


@pytest.mark.parametrize("one", TWENTY, ids=lambda one: one.name)
def test_history_and_paper_say_it_after(one: Row, cast: Cast, tablet: Client) -> None:
    """By its page; then the bike's history has a line of it, and the next print says it."""
    bench = Bench(cast, tablet, cast.story)
    one.way(bench)
    said = history(bench.on)
    assert any(re.search(one.history, words) for words in said), said[:8]
    where = {
        "job": bench.on.job, "new": Job.objects.latest("pk").pk, "old": bench.on.tag,
        "tag": Job.objects.get(pk=bench.on.job).bike.tag,
    }  # fmt: skip
    words = bench.paper(one.sheet.format(**where))
    # Braces are of the row's own gaps, never of a pattern.
    assert re.search(one.says.replace("{tag}", where["tag"]), words), words
    if one.not_says:
        assert one.not_says.replace("{old}", where["old"]) not in words


def test_each_of_the_twenty_has_its_story() -> None:
    """Twenty there are, and a further story that a row names is there."""
    assert len(TWENTY) == 20
    for one in TWENTY:
        if one.further:
            module, _, name = one.further.partition(".")
            assert callable(getattr(import_module(f"{_HERE}{module}"), name)), one.name
