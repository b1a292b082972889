"""What comes up at a job, each by its page as a mechanic taps it; what the page, the history and the paper say after."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import Event, Job, Person
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.came_up.not_collected import STEPS
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.promise import promise_of
from pinchbolt.workshop.stays.standing import standing_of
from tests import story
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import asked_for, key, lines_of, ready, started
from tests.story import NOW, Story

SignIn = Callable[[Person], Client]


def go(tablet: Client, on: Story, door: str, /, **said: object) -> str:
    """Open a short form, see that it is there, send it, and return the page that follows."""
    at = f"/job/{on.job}/came-up/{door}/"
    assert tablet.get(at).status_code == 200
    answer = tablet.post(at, {"key": key(), **said}, follow=True)
    assert answer.status_code == 200, answer.content.decode()[:4000]
    return answer.content.decode()


def refused(tablet: Client, on: Story, door: str, /, **said: object) -> str:
    """Send a short form that is refused, and return its page."""
    answer = tablet.post(f"/job/{on.job}/came-up/{door}/", {"key": key(), **said})
    assert answer.status_code in (400, 409, 422, 403), answer.status_code
    page = answer.content.decode()
    assert "data-refused" in page
    return page


def history(on: Story) -> list[str]:
    """What the bike's history says, newest first, without what was corrected."""
    return [one.words for one in bike_sheet(on.record.bike.tag, NOW).history if not one.is_corrected]


def page(tablet: Client, on: Story, step: str) -> str:
    """A page of the job."""
    return tablet.get(f"/job/{on.job}/{step}/").content.decode()


def test_a_form_without_a_line_to_choose_has_no_button(cast: Cast, tablet: Client) -> None:
    """And its way in says why: what can only be refused is not offered."""
    shown = page(tablet, cast.story, "came-up")
    assert shown.count("no line waits for an answer") == 2
    for door in ("minutes", "work-price", "not-done", "who-pays"):
        form = (
            page(tablet, cast.story, f"came-up/{door}")
            .partition('class="sheet stack door"')[2]
            .partition("</form>")[0]
        )
        assert "nothing to choose" in form and "<button" not in form, door
    on = asked_for(cast.story)
    assert "no line waits for an answer" not in page(tablet, on, "came-up")
    assert '<button class="act" type="submit">set them' in page(tablet, on, "came-up/minutes")


def test_the_page_stands_in_each_jobs_head_and_greys_with_a_reason(cast: Cast, tablet: Client) -> None:
    """One tap from any page of the job; a line that can't be used says why."""
    assert f'href="/job/{cast.job}/came-up/"' in page(tablet, cast.story, "work")
    shown = page(tablet, cast.story, "came-up")
    for name in ("The work", "The owner", "Day and place", "Money and end"):
        assert name in shown
    assert "no line is done" in shown and "it is still here" in shown


def test_a_wrong_tag_is_called_off(cast: Cast, tablet: Client) -> None:
    """The job ends without bill or call-back, the stand is free, the history says why, and readings of another bike are struck."""
    on = story.walked_round(cast.story)
    tablet.post(f"/job/{on.job}/work/stand/", {"key": key(), "stand": "1"})
    read = on.record.readings.filter(event__corrected_by__isnull=True).count()
    assert read
    go(tablet, on, "call-off", reason="wrong tag", readings="of another bike")
    assert job_state(on.record).where is Where.CALLED_OFF
    assert on.record.readings.filter(event__corrected_by__isnull=True).count() == 0
    assert history(on)[0] == "called off, wrong tag"
    assert not bills_of(on.record)
    assert on.tag not in tablet.get("/").content.decode()
    # Taken back at once: all readings count again.
    event = Event.objects.get(job=on.job, kind="called off")
    tablet.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": event.pk})
    assert job_state(on.record).where is Where.STAND
    assert on.record.readings.filter(event__corrected_by__isnull=True).count() == read


def test_a_job_with_done_work_is_handed_over_unfinished(cast: Cast, tablet: Client) -> None:
    """Calling off is refused with the way; the open lines are called off in the owner's name and the handover follows."""
    on = started(cast.story)
    lines = lines_of(on)
    tablet.post(f"/job/{on.job}/work/line/", {"key": key(), "line": lines["chain"]})
    assert "hand the bike over unfinished" in refused(tablet, on, "call-off", reason="other", words="no time")
    shown = go(tablet, on, "unfinished", how="by phone")
    assert "Handover" in shown
    stand = standing_of(on.record)
    assert lines["chain"] in stand.agreed
    assert set(stand.agreed) == set(stand.done)


def test_the_promise_moves_with_a_reason(cast: Cast, tablet: Client) -> None:
    """From the head: the new day stands on page and history, the owner who was not told stands on the shop day until told."""
    on = cast.story
    day = timezone.localtime(NOW).date() + timedelta(days=6)
    go(tablet, on, "promise", day=f"{day:%Y-%m-%d}", hour="12:00", why="waits for a part", told="not yet")
    at = promise_of(on.record).at
    assert at is not None and timezone.localtime(at).date() == day
    assert history(on)[0].startswith("promise Fri 27 Nov") and history(on)[0].endswith("waits for a part")
    assert "To tell" in tablet.get("/").content.decode()
    go(tablet, on, "told", how="by phone")
    assert promise_of(on.record).is_told
    assert "To tell" not in tablet.get("/").content.decode()


def test_a_closed_day_is_not_promised(cast: Cast, tablet: Client) -> None:
    """The next open day is named."""
    from pinchbolt.records.models import Workshop

    Workshop.objects.update(open_days={"Tue": ["09:00", "17:30"]})
    sunday = timezone.localtime(NOW).date() + timedelta(days=4)
    shown = refused(
        tablet, cast.story, "promise", other=f"{sunday:%Y-%m-%d}", why="more work", told="by phone"
    )
    assert "Sunday is closed. Tuesday" in shown


def test_tried_counts_and_agreed_work_goes_on(cast: Cast, tablet: Client) -> None:
    """One tap; the page counts the tries."""
    on = asked_for(cast.story)
    go(tablet, on, "tried", how="phone")
    shown = go(tablet, on, "tried", how="letter")
    assert "2 tries so far" in shown
    assert history(on)[0] == "owner not reached, letter"


def test_a_further_fault_is_found_priced_and_asked_in_one_form(cast: Cast, tablet: Client) -> None:
    """The new line waits for its answer while the agreed ones stay agreed."""
    on = started(cast.story)
    before = set(standing_of(on.record).agreed)
    go(
        tablet,
        on,
        "found",
        words="Headset rough",
        verdict="next visit",
        operation="headset-adjust",
        ask="now",
    )
    seen = estimate(on.record)
    new = next(line for line in seen.lines if line.operation == "headset-adjust")
    assert new.asking == 2 and not new.answer
    assert set(standing_of(on.record).agreed) == before


def test_the_job_goes_on_in_other_hands(cast: Cast, tablet: Client, signed_in: SignIn) -> None:
    """A band says it on each page until it is read; both names stay."""
    on = started(cast.story)
    go(tablet, on, "hand-on", to=cast.second.pk, note="caliper loose, bolts in tray 3")
    other = signed_in(cast.second)
    assert "caliper loose, bolts in tray 3" in page(other, on, "work")
    other.post(f"/job/{on.job}/came-up/note-read/", {"key": key()})
    assert "caliper loose" not in page(other, on, "work")
    assert history(on)[0] == f"handed on to {cast.second.name}: caliper loose, bolts in tray 3"


def test_a_warranty_line_costs_the_owner_nothing(cast: Cast, tablet: Client) -> None:
    """It leaves every sum and keeps its price; back to the owner it is asked anew, never charged in silence."""
    on = started(cast.story)
    line, before = lines_of(on)["chain"], estimate(on.record).agreed.total
    price = next(one.money.total for one in estimate(on.record).lines if one.id == line)
    go(tablet, on, "who-pays", line=line, payer="maker's warranty", reason="fitted here 12 Mar")
    seen = estimate(on.record)
    assert seen.agreed.total == before - price
    assert next(one.let_off for one in seen.lines if one.id == line) == "maker's warranty: fitted here 12 Mar"
    go(tablet, on, "who-pays", line=line, payer="the owner", reason="maker refused")
    seen = estimate(on.record)
    assert next(one.answer for one in seen.lines if one.id == line) == ""
    assert seen.open_answers == 1


@pytest.mark.parametrize(("said", "off"), [({"percent": "10"}, Decimal("0.10")), ({"amount": "5"}, None)])
def test_a_discount_lowers_what_is_to_pay_with_its_tax(
    cast: Cast, tablet: Client, said: dict[str, str], off: Decimal | None
) -> None:
    """The bill shows the full prices, the discount with its reason below, and the tax of what is charged. By hand:
    tax = gross * 20 / 120 of the lowered sum."""
    on = ready(cast.story)
    before = estimate(on.record).to_pay.total
    go(tablet, on, "discount", kind="discount", reason="regular", **said)
    expected = (before * off).quantize(Decimal("0.01")) if off is not None else Decimal("5.00")
    seen = estimate(on.record)
    assert seen.to_pay.total == before - expected
    hand_over(HandOverRequest(on.job, acknowledged=True), by=on.first, key=on.key(), now=NOW)
    (bill,) = bills_of(on.record)
    assert bill.total == before - expected
    assert (
        sum((line.price for line in bill.lines), Decimal(0))
        - sum((one.amount for one in bill.taken_off), Decimal(0))
        == bill.total
    )
    assert any("regular" in one.words and one.amount == expected for one in bill.taken_off)
    (tax,) = bill.taxes
    assert tax.tax == (bill.total * 20 / 120).quantize(Decimal("0.01"))


def test_a_lost_tag_goes_on_leading_to_the_bike(cast: Cast, tablet: Client) -> None:
    """The bike has a new tag, the old address finds it, nobody else gets the old one; undone, it is as before."""
    on = cast.story
    go(tablet, on, "tag", what="new")
    bike = Job.objects.get(pk=on.job).bike
    assert bike.tag != on.tag
    assert tablet.get(f"/bike/{on.tag}/").status_code == 200
    assert history(on)[0] == f"tag {on.tag} lost, now {bike.tag}"
    event = Event.objects.get(job=on.job, kind="tag given")
    tablet.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": event.pk})
    assert Job.objects.get(pk=on.job).bike.tag == on.tag


def test_somebody_else_collects(cast: Cast, tablet: Client) -> None:
    """The name stands on the page and at the handover, and in no event."""
    on = ready(cast.story)
    go(tablet, on, "collector", name="Bram Winkfold", how_known="owner rang")
    assert "Bram Winkfold" in page(tablet, on, "handover")
    tablet.post(
        f"/job/{on.job}/handover/leave/",
        {"key": key(), "acknowledged": "1", "taken_by": "Bram Winkfold", "how_known": "owner rang"},
    )
    assert "Bram Winkfold" in page(tablet, on, "handover")
    assert not [one for one in Event.objects.all() if "Winkfold" in str(one.said)]


def test_nobody_collects_it(
    cast: Cast, tablet: Client, signed_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The steps come one after another, each on its day; the end is for the owner of the workshop, after the last."""
    on = ready(cast.story)
    refused(tablet, on, "nobody", how="text")
    for step in STEPS:
        later = NOW + timedelta(days=step.after_days)
        monkeypatch.setattr("django.utils.timezone.now", lambda later=later: later)
        # A tablet that lay unused for a month asks for the passphrase again.
        tablet = signed_in(cast.mechanic)
        go(tablet, on, "nobody", how="letter")
    go(tablet, on, "move", to="away")
    assert job_state(on.record).where is Where.AWAY
    refused(tablet, on, "nobody", end="sold", words="law of here, day 91")
    go(signed_in(cast.owner), on, "nobody", end="sold", words="law of here, day 91")
    assert job_state(on.record).where is Where.NOT_COLLECTED
    assert history(on)[0] == "not collected, sold: law of here, day 91"


def test_it_came_back(cast: Cast, tablet: Client) -> None:
    """A new job follows the old one; our own work stands on its estimate at no charge."""
    on = story.handed_over(ready(cast.story))
    done = len(standing_of(on.record).done)
    go(tablet, on, "came-back", cause="our work")
    new = Job.objects.latest("pk")
    assert new.pk != on.job and new.owner_words.startswith("Again: ")
    seen = estimate(new)
    assert len(seen.lines) == done and seen.priced.total == 0
    assert {line.let_off for line in seen.lines} == {"our own work again"}
    assert any("came back, our work" in words for words in history(on))


def test_a_swollen_battery_stops_the_job_and_follows_the_bike(cast: Cast, tablet: Client) -> None:
    """Outside at once; no work is started on it; the caution stands until somebody says where it went."""
    on = asked_for(cast.story)
    story.answered(on)
    go(tablet, on, "swollen", words="bulge on the left side")
    assert job_state(on.record).where is Where.OUTSIDE
    for step in ("work", "estimate", "sign-off"):
        assert "Swollen battery" in page(tablet, on, step)
    answer = tablet.post(f"/job/{on.job}/work/stand/", {"key": key(), "stand": "1", "start": "1"})
    assert "swollen battery" in answer.content.decode() and not job_state(on.record).started
    refused(tablet, on, "move", to="rack")
    go(tablet, on, "swollen", words="collected by the depot", stood="yes")
    assert job_state(on.record).where is not Where.OUTSIDE
    assert "Swollen battery" not in page(tablet, on, "work")
    assert history(on)[0] == "swollen battery gone: collected by the depot"


def test_home_meanwhile_wants_a_try_and_nothing_unsafe(cast: Cast, tablet: Client) -> None:
    """It will be ridden home."""
    on = cast.story
    assert "Try brakes" in refused(tablet, on, "move", to="home")
    go(tablet, on, "move", to="home", tried="1")
    assert job_state(on.record).where is Where.HOME
    assert "home meanwhile" in tablet.get("/").content.decode()


def test_a_bike_is_moved_to_a_stand_and_to_waiting_from_the_shop_day(cast: Cast, tablet: Client) -> None:
    """One link at each bike; a free stand, then waiting for a part with how it was left."""
    on = cast.story
    assert f"/job/{on.job}/came-up/move/" in tablet.get("/").content.decode()
    go(tablet, on, "move", to="stand 2")
    assert job_state(on.record).stand == 2
    go(tablet, on, "move", to="part", words="bolts in tray 3")
    assert job_state(on.record).where is Where.PART
    assert "bolts in tray 3" in tablet.get("/").content.decode()


def test_the_owner_is_rung_before_the_work_starts(cast: Cast, tablet: Client) -> None:
    """Starting asks whether they were reached."""
    on = asked_for(cast.story)
    story.answered(on)
    go(tablet, on, "ring-first", ring="yes")
    start = {"stand": "1", "start": "1"}
    answer = tablet.post(f"/job/{on.job}/work/stand/", {"key": key(), **start})
    assert "rung before the work starts" in answer.content.decode()
    tablet.post(f"/job/{on.job}/work/stand/", {"key": key(), **start, "reached": "1"})
    assert job_state(on.record).started


def test_a_line_of_ones_own_and_minutes_by_hand(cast: Cast, tablet: Client) -> None:
    """40 minutes at 54.00 an hour are 36.00; a price by hand is the price; minutes of the menu give way to a hand's."""
    on = cast.story
    go(tablet, on, "own-line", words="Remove a seized post", minutes="40")
    go(tablet, on, "own-line", words="Sticker of the shop", price="2.50")
    lines = {line.words: line for line in estimate(on.record).lines}
    assert lines["Remove a seized post"].money.total == Decimal("36.00")
    assert lines["Sticker of the shop"].money.total == Decimal("2.50")
    assert "price, minutes or a part" in refused(tablet, on, "own-line", words="Nothing said")
    go(tablet, on, "minutes", line=lines["Remove a seized post"].id, minutes="20")
    lines = {line.words: line for line in estimate(on.record).lines}
    assert lines["Remove a seized post"].money.total == Decimal("18.00")


def test_i_did_not_do_it_after_all(cast: Cast, tablet: Client) -> None:
    """A done line is open again, the old part is on the bike again; the receipt on the page of work does the same."""
    on = started(cast.story)
    line = lines_of(on)["chain"]
    tablet.post(f"/job/{on.job}/work/line/", {"key": key(), "line": line})
    assert "Just now:" in page(tablet, on, "work")
    go(tablet, on, "not-done", line=line)
    assert line not in standing_of(on.record).done
    assert any(words.startswith("taken back: ") for words in history(on))
