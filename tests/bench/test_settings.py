"""The settings by their pages: eight lines, each change with what was and an undo, and what counts from when."""

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.test import Client

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event, Person, TaxRate, Workshop
from pinchbolt.workshop.acts.money_terms import labour_on_day, tax_on_day
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables
from pinchbolt.workshop.stays.price import estimate
from tests import story
from tests.bench.conftest import Cast
from tests.story import PASSPHRASE, TODAY

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Person], Client]
PAGES = ("shop", "days", "people", "prices", "limits", "words", "tablets", "safe-keeping")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A home folder of the shop's own: its rows and its copies."""
    monkeypatch.setattr("django.conf.settings.SHOP_TABLES", str(tmp_path / "tables"))
    monkeypatch.setattr("django.conf.settings.BACKUPS", tmp_path / "backups")
    read_tables_again()
    yield tmp_path
    monkeypatch.undo()
    read_tables_again()


@pytest.fixture
def owner(cast: Cast, signed_in: SignedIn) -> Client:
    """A tablet on which the owner of the workshop is signed in."""
    Workshop.objects.update(is_demo=False)
    return signed_in(cast.owner)


def seen_on(page: str) -> str:
    """The newest change that a form of this page knows of."""
    found = re.search(r'name="seen" value="(\d+)"', page)
    assert found, page
    return found[1]


def text(answer: object) -> str:
    """The words of a page."""
    return answer.content.decode()  # type: ignore[attr-defined, no-any-return]


def send(client: Client, to: str, key: str, **fields: object) -> str:
    """Send a form that is taken; the page that it leads to."""
    answer = client.post(to, {**fields, "key": f"settings-{key}"})
    assert answer.status_code == 303, text(answer)
    return text(client.get(answer["Location"]))


def undo(client: Client, page: str, key: str) -> str:
    """Tap undo on the receipt of a page."""
    found = re.search(r'name="event" value="(\d+)"', page)
    assert found, page
    return send(client, "/settings/undo/", key, event=found[1])


def test_eight_lines_say_what_stands_now_and_who_changed_it_last(owner: Client) -> None:
    """Each leads to its page; a change puts its person's name behind its line."""
    page = text(owner.get("/settings/"))
    for name in PAGES:
        assert f'href="/settings/{name}/"' in page
        assert owner.get(f"/settings/{name}/").status_code == 200
    assert "labour £54.00 an hour" in page and "as the trade tables" in page and "no backup yet" in page
    send(owner, "/settings/prices/labour/", "labour-1", an_hour="60")
    page = text(owner.get("/settings/"))
    assert "labour £60.00 an hour" in page and "Marnie Oakes" in page


def test_whoever_may_not_change_them_reads_them(cast: Cast, tablet: Client) -> None:
    """A mechanic sees what stands there, the fields can't be typed in, and what is sent is refused."""
    for name in PAGES:
        page = text(tablet.get(f"/settings/{name}/"))
        assert "Only the owner of the workshop can change this." in page
    answer = tablet.post("/settings/prices/labour/", {"an_hour": "90", "key": "settings-no-1"})
    assert answer.status_code == 403
    assert not Event.objects.filter(kind="labour set").exists()


def test_labour_counts_from_its_day_and_what_was_asked_keeps_its_price(cast: Cast, owner: Client) -> None:
    """Asked at 54 an hour, labour 60 from tomorrow, 72 from today: the asked line stays, a new line costs more."""
    told = story.priced(story.walked_round(cast.story))
    before = {line.id: line.money.price for line in estimate(told.record, TODAY).lines}
    tomorrow = TODAY + timedelta(days=1)
    send(owner, "/settings/prices/labour/", "labour-2", an_hour="60", from_day=tomorrow.isoformat())
    assert (labour_on_day(TODAY), labour_on_day(tomorrow)) == (Decimal("54.00"), Decimal("60.00"))
    page = send(owner, "/settings/prices/labour/", "labour-3", an_hour="72,00")
    assert "labour an hour £72.00 (was £54.00)" in page and "still to come" in page
    assert {line.id: line.money.price for line in estimate(told.record, TODAY).lines} == before
    page = undo(owner, page, "labour-4")
    assert labour_on_day(TODAY) == Decimal("54.00")
    assert "taken back" in page


def test_a_slip_in_labour_is_asked_about_and_what_was_typed_stays(owner: Client) -> None:
    """5400 an hour is hardly meant."""
    answer = owner.post("/settings/prices/labour/", {"an_hour": "5400", "key": "settings-slip-1"})
    assert answer.status_code == 422
    assert "Was 54.00 meant?" in text(answer) and 'value="5400"' in text(answer)


def test_tax_is_a_new_row_from_its_day_and_never_an_overwrite(owner: Client) -> None:
    """Reduced 5 % from January: today's rate stays, and both rows are kept."""
    january = "2027-01-01"
    send(owner, "/settings/shop/tax/", "tax-1", tax_class="reduced", percent="5", from_day=january)
    page = send(owner, "/settings/shop/tax/", "tax-2", tax_class="standard", percent="8.1")
    assert tax_on_day(TODAY)["standard"] == Decimal("8.10")
    assert tax_on_day(TODAY - timedelta(days=1))["standard"] == Decimal("20.00")
    assert TaxRate.objects.count() == 2 and "8.10" in page and "still to come" in page
    undo(owner, page, "tax-3")
    assert tax_on_day(TODAY)["standard"] == Decimal("20.00")


def shop_fields(**more: str) -> dict[str, str]:
    """What the page of the shop sends as it stands, with changes."""
    return {
        "name": "Mossgate Yard Workshop", "town": "Ostermere", "address": "", "phone": "", "country": "other", "currency": "GBP",
        "is_registered": "yes", "tax_number": "", "holds_days": "14", "remind_days": "3", "paper": "a4", **more,
    }  # fmt: skip


def test_the_letterhead_is_saved_with_what_was_and_undone(owner: Client) -> None:
    """Address and phone stand on the page and can be taken back in one tap, until that field is changed anew."""
    page = send(
        owner, "/settings/shop/change/", "shop-1", **shop_fields(address="2 Mill Lane", phone="01632 960900")
    )
    assert "address 2 Mill Lane (was nothing)" in page
    send(
        owner, "/settings/shop/change/", "shop-2", **shop_fields(address="3 Mill Lane", phone="01632 960900")
    )
    first = Event.objects.filter(kind="workshop described").order_by("pk")[0]
    late = owner.post("/settings/undo/", {"event": first.pk, "key": "settings-late-undo"})
    assert late.status_code == 409 and "It was changed since" in text(late)
    undo(owner, text(owner.get("/settings/shop/")), "shop-3")
    shop = Workshop.objects.get()
    assert (shop.address, shop.phone) == ("2 Mill Lane", "01632 960900")


def test_two_people_at_once_and_the_second_chooses(cast: Cast, owner: Client) -> None:
    """The second sees what the first made of the field, keeps both entries in sight, and can take their own."""
    stale = seen_on(text(owner.get("/settings/shop/")))
    send(owner, "/settings/shop/change/", "both-1", **shop_fields(phone="01632 960111"), seen=stale)
    mine = shop_fields(phone="01632 960222")
    answer = owner.post("/settings/shop/change/", {**mine, "seen": stale, "key": "settings-both-2"})
    page = text(answer)
    assert answer.status_code == 409
    assert "Marnie Oakes changed this meanwhile: nothing to 01632 960111." in page
    assert "keep theirs" in page and "take mine" in page and 'value="01632 960222"' in page
    assert Workshop.objects.get().phone == "01632 960111"
    send(owner, "/settings/shop/change/", "both-3", **mine, seen=seen_on(page))
    assert Workshop.objects.get().phone == "01632 960222"


def test_another_field_of_the_same_page_is_no_quarrel(owner: Client) -> None:
    """One wrote the phone, the other the address: both stand."""
    stale = seen_on(text(owner.get("/settings/shop/")))
    send(owner, "/settings/shop/change/", "apart-1", **shop_fields(phone="01632 960111"), seen=stale)
    both = shop_fields(phone="01632 960111", address="2 Mill Lane")
    send(owner, "/settings/shop/change/", "apart-2", **both, seen=stale)
    assert Workshop.objects.get().address == "2 Mill Lane"


def test_a_closed_day_is_not_promised_until_it_is_open_after_all(owner: Client) -> None:
    """Closed tomorrow: no button for it at check-in; taken back, it is there again."""
    tomorrow = (TODAY + timedelta(days=1)).isoformat()
    offered = f'value="{tomorrow}"'
    assert offered in text(owner.get("/check-in/?template=track"))
    page = send(owner, "/settings/days/closed/", "closed-1", first=tomorrow, words="fair")
    assert "fair" in page and offered not in text(owner.get("/check-in/?template=track"))
    assert "Closed tomorrow: fair." in text(owner.get("/"))
    undo(owner, page, "closed-2")
    assert offered in text(owner.get("/check-in/?template=track"))


def test_the_week_is_changed_and_a_refused_one_keeps_its_entries(owner: Client) -> None:
    """Monday alone; then a day that closes before it opens."""
    week = {"open_Mon": "yes", "opens_Mon": "08:00", "closes_Mon": "12:00", "stands": "3"}
    page = send(owner, "/settings/days/change/", "week-1", **week)
    assert "open Mon 08:00 to 12:00" in page
    bad = owner.post("/settings/days/change/", {**week, "closes_Mon": "07:00", "key": "settings-week-2"})
    assert (
        bad.status_code == 422 and "Mon closes before it opens" in text(bad) and 'value="07:00"' in text(bad)
    )


def test_a_stand_with_a_bike_on_it_is_not_taken_away(cast: Cast, owner: Client) -> None:
    """The bike is named; the number stays."""
    told = story.answered(story.priced(story.walked_round(cast.story)))
    story.worked(told, stand=3)
    week = {"open_Mon": "yes", "opens_Mon": "08:00", "closes_Mon": "12:00", "stands": "2"}
    answer = owner.post("/settings/days/change/", {**week, "key": "settings-stand-1"})
    assert answer.status_code == 422 and f"{cast.tag} is on stand 3: move it first" in text(answer)
    assert Workshop.objects.get().stands == 3


def test_a_person_is_changed_and_the_last_owner_stays_one(cast: Cast, owner: Client) -> None:
    """Somebody must own the workshop; a mechanic who may not sign off can't; both said in words."""
    lowered = {"sign_in": "marnie", "name": "Marnie Oakes", "role": "mechanic", "may_sign": "yes"}
    answer = owner.post("/settings/people/change/", {**lowered, "key": "settings-people-1"})
    assert answer.status_code == 409 and "somebody must own it" in text(answer)
    gone = owner.post("/settings/people/retire/", {"sign_in": "marnie", "key": "settings-people-2"})
    assert gone.status_code == 409
    page = send(
        owner, "/settings/people/change/", "people-3", sign_in="tobias", name="Tobias Quill", role="mechanic"
    )
    assert "signs nothing off" in page
    ready = story.looked(story.worked(story.answered(story.priced(story.walked_round(cast.story)))))
    owner.force_login(cast.second, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    refused = owner.post(f"/job/{ready.job}/sign-off/sign/", {"key": "settings-sign-1"})
    assert refused.status_code == 403 and "may not sign a bike off" in text(refused)


def test_what_a_person_began_is_named_before_they_leave_and_they_come_back(cast: Cast, owner: Client) -> None:
    """Ines has a bike on a stand: who goes on? Retiring is undone in one tap."""
    story.worked(story.answered(story.priced(story.walked_round(cast.story))))
    assert f"{cast.tag} on stands: who goes on?" in text(owner.get("/settings/people/"))
    page = send(owner, "/settings/people/retire/", "leave-1", sign_in="ines")
    assert not Person.objects.get(sign_in="ines").is_active
    undo(owner, page, "leave-2")
    assert Person.objects.get(sign_in="ines").is_active


def test_words_stand_on_papers_and_in_texts(cast: Cast, owner: Client) -> None:
    """Opening hours at the head of a paper, the shop's own words at the end of a text."""
    from pinchbolt.paper.paper_facts import shop_facts
    from pinchbolt.workshop.stays.owner_texts import owner_texts

    told = story.priced(story.walked_round(cast.story))
    page = send(
        owner,
        "/settings/words/change/",
        "words-1",
        hours="Tue to Sat 9 to 17",
        asking="Mossgate, ring the bell.",
    )
    assert "Tue to Sat 9 to 17" in str(shop_facts()["where"])
    asking = owner_texts(told.record, TODAY)[0]
    assert asking.text.endswith("Mossgate, ring the bell.")
    undo(owner, page, "words-2")
    assert "Tue to Sat" not in str(shop_facts()["where"])


def copied(now: datetime, folder: Path) -> None:
    """Stands in for the copy itself, which waits for ever inside of a test's transaction; it has tests of its own."""
    folder.mkdir(exist_ok=True)
    (folder / f"bench-{len(list(folder.iterdir()))}.sqlite3").write_bytes(b"copy")


def test_a_copy_is_made_and_a_second_place_that_fails_is_said(
    owner: Client, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that is not there is refused; one that vanished since is said beside the copy that was made."""
    monkeypatch.setattr("django.conf.settings.BACK_UP", "tests.bench.test_settings.copied")
    nowhere = owner.post(
        "/settings/safe-keeping/place/", {"place": str(home / "stick"), "key": "settings-place-1"}
    )
    assert nowhere.status_code == 422 and "is not there: make the folder" in text(nowhere)
    (home / "stick").mkdir()
    send(owner, "/settings/safe-keeping/place/", "place-2", place=str(home / "stick"))
    send(owner, "/settings/safe-keeping/copy/", "copy-1")
    assert len(list((home / "stick").glob("bench-*.sqlite3"))) == 1
    (home / "stick").rename(home / "gone")
    page = send(owner, "/settings/safe-keeping/copy/", "copy-2")
    assert "Not at the second place" in page and len(list((home / "backups").glob("bench-*.sqlite3"))) == 2


def test_what_going_back_to_a_copy_would_lose_is_said(
    cast: Cast, owner: Client, signed_in: SignedIn, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of each copy, on its own tap; a damaged one says so; one that is not there, or is none, is not looked at."""
    monkeypatch.setattr("django.conf.settings.LOOK_AT_COPY", "tests.bench.test_settings.looked_at")
    (home / "backups").mkdir(exist_ok=True)
    for name in ("bench-2026-11-24-180000.sqlite3", "bench-2026-11-23-180000.sqlite3"):
        (home / "backups" / name).write_bytes(b"x")
    shown = owner.get("/settings/safe-keeping/").content.decode()
    assert shown.count("what would it lose?") == 2 and "pinchbolt restore" in shown
    told = owner.get("/settings/safe-keeping/?copy=bench-2026-11-24-180000.sqlite3").content.decode()
    assert "Sound: 412 entries" in told and "7 entries are here and not in it: they would be lost." in told
    spoilt = owner.get("/settings/safe-keeping/?copy=bench-2026-11-23-180000.sqlite3").content.decode()
    assert "The copy is not whole" in spoilt
    assert "Sound" not in owner.get("/settings/safe-keeping/?copy=../bench.sqlite3").content.decode()
    assert (
        "what would it lose?" not in signed_in(cast.counter).get("/settings/safe-keeping/").content.decode()
    )


def looked_at(file: Path) -> SimpleNamespace:
    """A copy as it would be found."""
    if "23" in file.name:
        raise NotPossibleNow("The copy is not whole, so it was not kept.")
    return SimpleNamespace(workshop="Mossgate", events=412, newest="2026-11-24T17:12", files=0, lost=7)


def test_no_copy_is_made_for_who_may_not(
    cast: Cast, signed_in: SignedIn, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked before the copy, not after it."""
    monkeypatch.setattr("django.conf.settings.BACK_UP", "tests.bench.test_settings.copied")
    answer = signed_in(cast.counter).post("/settings/safe-keeping/copy/", {"key": "settings-copy-3"})
    assert answer.status_code == 403 and not list(home.rglob("bench-*.sqlite3"))


def test_a_tablet_is_named_and_another_one_is_signed_out(
    cast: Cast, owner: Client, signed_in: SignedIn
) -> None:
    """The other one is asked to sign in at its next request; this one can't end itself by a slip."""
    other = signed_in(cast.mechanic)
    opened = other.session.session_key
    send(other, "/settings/tablets/name/", "tablet-1", name="bench 1")
    page = text(owner.get("/settings/tablets/"))
    assert "bench 1" in page and "Ines Holloway" in page
    marks = re.findall(r'<option value="([0-9a-f]+)">bench 1', page)
    assert len(marks) == 1
    send(owner, "/settings/tablets/end/", "tablet-2", mark=marks[0], end_proof=PASSPHRASE)
    assert other.get("/")["Location"].startswith("/sign-in/")
    assert opened and opened not in page


def test_the_first_list_stands_on_the_day_of_an_empty_shop(cast: Cast, owner: Client) -> None:
    """Eight doors, none a condition; put away it is gone, and the settings bring it back."""
    page = text(owner.get("/"))
    assert "Before the first bike, or after it" in page and page.count('<li class="is-set">') >= 2
    for there in (
        "/settings/people/",
        "/settings/prices/",
        "/tools/",
        "/settings/shop/",
        "/settings/tablets/",
    ):
        assert f'href="{there}"' in page
    page = send(owner, "/settings/safe-keeping/first-list/", "first-1", away="yes")
    assert "Before the first bike" not in page
    page = send(owner, "/settings/safe-keeping/first-list/", "first-2", away="no")
    assert "Before the first bike" in page


def test_the_demo_shows_no_first_list(cast: Cast, tablet: Client) -> None:
    """It is set up already."""
    assert "Before the first bike" not in text(tablet.get("/"))


def test_a_fixed_price_and_work_that_is_not_offered(cast: Cast, owner: Client) -> None:
    """A fixed price stands whatever the minutes; what is not offered leaves the menu and is refused in words."""
    page = send(owner, "/settings/row/operation/safety-check/save/", "row-1", fixed_price="40")
    assert "fixed price 40.00" in page
    assert tables().operations["safety-check"].fixed_price == Decimal("40.00")
    owner.post(f"/job/{cast.job}/findings/line/", {"operation": "safety-check", "key": "settings-line-1"})
    assert estimate(cast.story.record, TODAY).lines[0].money.price == Decimal("40.00")
    send(owner, "/settings/row/operation/gears-adjust/save/", "row-2", offered="no")
    refused = owner.post(
        f"/job/{cast.job}/findings/line/", {"operation": "gears-adjust", "key": "settings-line-2"}
    )
    assert refused.status_code == 422 and "is not offered here" in text(refused)


def test_an_operation_of_ones_own_is_put_on_the_menu(cast: Cast, owner: Client) -> None:
    """Words, minutes, steps: on the menu at once, and it prices."""
    fields = {
        "name": "Drive in the bath",
        "low": "20",
        "usual": "25",
        "high": "35",
        "steps": "drive off\nin the bath",
    }
    page = send(owner, "/settings/prices/own-operation/", "own-1", **fields)
    assert "not in the trade table" in page
    assert tables().operations["own-drive-in-the-bath"].steps == ("drive off", "in the bath")
    bad = owner.post(
        "/settings/prices/own-operation/", {**fields, "name": "Other", "usual": "15", "key": "settings-own-2"}
    )
    assert bad.status_code == 422 and "Other" in text(bad)


def test_shelf_prices_are_filled_by_a_factor_after_the_list_was_seen(owner: Client) -> None:
    """The list first, nothing written; then all at once, and one undo takes all back."""
    first = next(iter(tables().prices.values()))
    page = text(owner.get("/settings/prices/?factor=1.17&step=0.50"))
    assert (
        f"take all {len(tables().prices)}" in page and not Event.objects.filter(kind="row changed").exists()
    )
    page = send(owner, "/settings/prices/fill/", "fill-1", factor="1.17", step="0.50")
    now = tables().prices[first.id].price
    assert now % Decimal("0.50") == 0 and abs(now - first.price * Decimal("1.17")) <= Decimal("0.25")
    undo(owner, page, "fill-2")
    assert tables().prices[first.id].price == first.price
