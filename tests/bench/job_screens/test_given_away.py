"""What a hand takes off: the price of a line's work, a discount, goodwill; how much of it is whose to give."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.test import Client

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event, Line, Person
from pinchbolt.workshop.came_up.come_back import OUR_WORK, CameBackRequest, come_back
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.own_lines import OwnLineRequest, own_line
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ChangeRequest, ProposeRequest, change_line, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests import story
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import key
from tests.bench.job_screens.test_came_up import go, history, page, refused
from tests.story import NOW, Story

SignedIn = Callable[[Person], Client]


@pytest.fixture
def on(cast: Cast) -> Story:
    """A bike with a chain and a safety check on its estimate, not asked yet."""
    told = cast.story
    for operation in ("chain", "safety-check"):
        propose(ProposeRequest(told.job, operation), by=told.first, key=told.key(), now=NOW)
    return told


def line(on: Story, operation: str) -> int:
    """The line of an operation that stands."""
    return on.record.lines.get(operation=operation, event__corrected_by__isnull=True).pk


def bounded(owner: Client, percent: str) -> None:
    """The owner of the workshop bounds what Ines gives away."""
    told = {"sign_in": "ines", "name": "Ines Holloway", "role": "mechanic", "may_sign": "yes"}
    sent = {**told, "gives_percent": percent, "key": key(), "seen": "0"}
    assert owner.post("/settings/people/change/", sent).status_code == 303


def test_the_price_of_a_lines_work_is_set_by_hand(cast: Cast, tablet: Client, on: Story) -> None:
    """He held the bike and brought the cable: 10.00 for the work, the part as it was. Page, asking, bill with its tax, history.

    By hand: tax of the bill = gross * 20 / 120.
    """
    (before,) = (one for one in estimate(on.record).lines if one.operation == "chain")
    said = refused(tablet, on, "work-price", line=str(before.id), price="10.00", reason="")
    assert "Fill in" in said and 'value="10.00"' in said
    refused(tablet, on, "work-price", line=str(before.id), price="10.001", reason="he helped")
    shown = go(tablet, on, "work-price", line=str(before.id), price="10.00", reason="he helped")
    (now,) = (one for one in estimate(on.record).lines if one.operation == "chain")
    assert now.money.labour == Decimal("10.00") != before.money.labour
    assert now.money.parts == before.money.parts
    assert now.money.high_total == now.money.total == Decimal("10.00") + before.money.parts_total
    assert "£10.00" in shown
    assert history(on)[0] == "new chain: work at £10.00: he helped"
    # Taken back with one tap, the menu counts again; set anew, the owner is asked at it.
    event = Event.objects.filter(job=on.job, kind="work price set").latest("pk")
    tablet.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": event.pk})
    assert before in estimate(on.record).lines
    go(tablet, on, "work-price", line=str(line(on, "chain")), price="10.00", reason="he helped")
    ask_owner(PriceRequest(on.job), by=on.first, key=on.key(), now=NOW)
    mine = line(on, "chain")
    answer(
        AnswerRequest(on.job, {mine: True, line(on, "safety-check"): False}),
        by=on.first,
        key=on.key(),
        now=NOW,
    )
    late = refused(tablet, on, "work-price", line=str(mine), price="5.00", reason="more")
    assert "The owner has answered" in unescape(late) and "its price stays" in late
    start_work(StandRequest(on.job, 1), by=on.first, key=on.key(), now=NOW)
    finish_line(LineDoneRequest(on.job, mine), by=on.first, key=on.key(), now=NOW)
    story.signed_off(on)
    hand_over(HandOverRequest(on.job, acknowledged=True), by=on.first, key=on.key(), now=NOW)
    (bill,) = bills_of(on.record)
    assert bill.total == Decimal("10.00") + before.money.parts_total
    (tax,) = bill.taxes
    assert tax.tax == (bill.total * 20 / 120).quantize(Decimal("0.01"))


def test_nobody_takes_off_more_than_the_work_costs(cast: Cast, tablet: Client, on: Story) -> None:
    """The sentence says how much that is."""
    whole = estimate(on.record).priced.total
    said = refused(tablet, on, "discount", kind="discount", amount=str(whole + 1), reason="regular")
    assert f"The work of this job is £{whole}: at most that is taken off." in unescape(said)
    go(tablet, on, "discount", kind="discount", amount=str(whole), reason="regular")
    assert history(on)[0] == f"discount £{whole}, regular"


def test_what_a_person_gives_away_is_bounded_and_the_owner_of_the_workshop_gives_more(
    cast: Cast, signed_in: SignedIn, on: Story
) -> None:
    """Ten percent of the job by Ines, of whatever kind, all counted together; what was typed is kept; Marnie gives the rest."""
    ines, marnie = signed_in(Person.objects.get(sign_in="ines")), signed_in(cast.owner)
    bounded(marnie, "10")
    assert "gives away up to 10 %" in marnie.get("/settings/people/").content.decode()
    said = unescape(refused(ines, on, "discount", kind="goodwill", percent="15", reason="waited long"))
    assert "Ines Holloway may give 10 %" in said and cast.owner.name in said and 'value="waited long"' in said
    assert 'value="15"' in said
    go(ines, on, "discount", kind="discount", percent="6", reason="regular")
    refused(ines, on, "discount", kind="goodwill", percent="5", reason="waited long")
    # Said anew it takes the place of the old word: ten is ten, not sixteen.
    go(ines, on, "discount", kind="discount", percent="10", reason="regular")
    refused(ines, on, "work-price", line=str(line(on, "chain")), price="0.00", reason="a present")
    refused(ines, on, "who-pays", line=str(line(on, "chain")), payer="goodwill", reason="a present")
    # A maker who pays is no present.
    go(ines, on, "who-pays", line=str(line(on, "chain")), payer="maker's warranty", reason="snapped")
    go(marnie, on, "discount", kind="goodwill", percent="20", reason="waited long")
    assert history(on)[0] == "goodwill 20 %, waited long"
    given = Event.objects.filter(kind="discount given", job=on.job).latest("pk")
    assert given.by == cast.owner and "Money" in page(ines, on, "came-up")


def test_a_share_that_is_given_before_any_line_is_bounded_too(cast: Cast, signed_in: SignedIn) -> None:
    """It is a share of whatever comes on the estimate later."""
    ines = signed_in(Person.objects.get(sign_in="ines"))
    bounded(signed_in(cast.owner), "10")
    assert "may give 10 %" in unescape(
        refused(ines, cast.story, "discount", kind="discount", percent="50", reason="club")
    )


@pytest.mark.parametrize("percent", ["101", "-1", "ten"])
def test_a_bound_out_of_sense_is_refused_and_kept(cast: Cast, signed_in: SignedIn, percent: str) -> None:
    """0 to 100, or nothing."""
    told = {"sign_in": "ines", "name": "Ines Holloway", "role": "mechanic", "gives_percent": percent}
    answer = signed_in(cast.owner).post("/settings/people/change/", {**told, "key": key(), "seen": "0"})
    assert answer.status_code in (400, 422) and f'value="{percent}"' in answer.content.decode()


def test_parts_sold_under_the_shelf_count_against_the_bound_and_so_does_work_under_the_menu(
    cast: Cast, signed_in: SignedIn, on: Story
) -> None:
    """Five percent twice is ten, whichever way each is taken off; dearer, or a part that is on no shelf, is no present."""
    ines, marnie = signed_in(Person.objects.get(sign_in="ines")), signed_in(cast.owner)
    bounded(marnie, "10")
    seen = estimate(on.record)
    (chain,) = (one for one in seen.lines if one.operation == "chain")
    (part,) = on.record.lines.get(pk=chain.id).parts
    shelf, five = Decimal(part["each"]), (seen.priced.total * 5 / 100).quantize(Decimal("0.01"))

    def sold_at(price: Decimal, who: int, name: str = part["name"]) -> None:
        asked = ChangeRequest(on.job, line(on, "chain"), (LinePart(name, price),))
        change_line(asked, by=who, key=on.key(), now=NOW)

    with pytest.raises(NotPossibleNow, match="Ines Holloway may give 10 %"):
        sold_at(shelf - 3 * five, on.first)
    sold_at(shelf - five, on.first)
    work = next(one.money.labour for one in estimate(on.record).lines if one.operation == "chain")
    refused(
        ines, on, "work-price", line=str(line(on, "chain")), price=str(work - 2 * five), reason="he helped"
    )
    go(
        ines,
        on,
        "work-price",
        line=str(line(on, "chain")),
        price=str(work - five + Decimal("0.50")),
        reason="he helped",
    )
    refused(ines, on, "discount", kind="discount", percent="2", reason="regular")
    sold_at(shelf + 1, on.first)
    sold_at(Decimal("5.00"), on.first, "a used chain of his own")
    sold_at(Decimal("0.00"), cast.owner.pk)
    with pytest.raises(NotPossibleNow, match="of this job"):
        propose(
            ProposeRequest(
                on.job, "pads-disc", None, "", (LinePart(part["name"], shelf - 2 * five),), "front"
            ),
            by=on.first,
            key=on.key(),
            now=NOW,
        )
    # A line by hand goes no way round it.
    with pytest.raises(NotPossibleNow, match="of this job"):
        by_hand = OwnLineRequest(on.job, "for a friend", parts=(LinePart(part["name"], shelf - 2 * five),))
        own_line(by_hand, by=on.first, key=on.key(), now=NOW)


def test_work_of_a_stay_before_stays_work_of_the_menu_whatever_its_parts_cost_by_now(
    cast: Cast, signed_in: SignedIn, on: Story
) -> None:
    """The shelf went up since: nobody gives that away. As a line by hand it would ask for no bolt and answer no finding."""
    (part,) = on.record.lines.get(pk=line(on, "chain")).parts
    sold = (LinePart(part["name"], Decimal(part["each"]) / 2),)
    change_line(ChangeRequest(on.job, line(on, "chain"), sold), by=cast.owner.pk, key=on.key(), now=NOW)
    for act, asked in (
        (ask_owner, PriceRequest(on.job)),
        (answer, AnswerRequest(on.job, {line(on, "chain"): True, line(on, "safety-check"): False})),
        (start_work, StandRequest(on.job, 1)),
        (finish_line, LineDoneRequest(on.job, line(on, "chain"))),
    ):
        act(asked, by=on.first, key=on.key(), now=NOW)  # type: ignore[operator]
    story.signed_off(on)
    hand_over(HandOverRequest(on.job, acknowledged=True), by=on.first, key=on.key(), now=NOW)
    bounded(signed_in(cast.owner), "0")
    later = NOW + timedelta(days=3)
    new = come_back(CameBackRequest(on.job, OUR_WORK), by=on.first, key=on.key(), now=later)
    assert [one.operation for one in Line.objects.filter(job=new)] == ["chain"]
