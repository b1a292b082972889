"""Owners on screen: found before a new one is made, put right, merged, taken apart."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from django.test import Client

from pinchbolt.records.models import Bike, Consent, Event, Job, Owner, Person
from tests.bench.conftest import Cast

pytestmark = pytest.mark.django_db
NEW = {
    "template": "track",
    "owner_name": "Dov Ellenby",
    "owner_phone": "+44 1632 960123",
    "use_class": "mixed",
}


def words_of(page: bytes) -> str:
    """What is read of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page.decode())).split())


def owner_of(cast: Cast) -> Owner:
    """The owner of the bike that was checked in."""
    return Bike.objects.get(tag=cast.tag).owner


def test_while_typing_only_the_lines_come_back(cast: Cast, tablet: Client) -> None:
    """The field asks after each pause; the answer is a piece of the page, with what was looked for marked."""
    piece = tablet.get("/find/", {"find": "ellen"}, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in piece
    assert (
        "<mark>Ellen</mark>by" in piece
        and "01632 960123" in piece
        and "is here, on the rack" in words_of(piece.encode())
    )
    assert 'hx-get="/find/"' in tablet.get("/find/").content.decode()


def test_a_tag_typed_whole_or_scanned_opens_at_once(cast: Cast, tablet: Client) -> None:
    """Enter after the tag leads to its bike, from the check-in to its check-in."""
    assert tablet.get("/find/", {"find": cast.tag.lower()})["Location"] == f"/bike/{cast.tag}/"
    scanned = tablet.get("/find/", {"find": f"http://192.0.2.7/b/{cast.tag}", "leads": "check-in"})
    assert scanned["Location"] == f"/check-in/?tag={cast.tag}"


def test_somebody_new_carries_on_what_was_typed(cast: Cast, tablet: Client) -> None:
    """Letters to the name, figures to the phone; nothing is made while looking."""
    before = Owner.objects.count()
    found = tablet.get("/find/", {"find": "Ada Fenwick", "leads": "check-in"}).content.decode()
    assert 'href="/check-in/?new=Ada%20Fenwick"' in found
    choose = tablet.get("/check-in/", {"new": "Ada Fenwick"}).content.decode()
    assert 'href="/check-in/?template=track&amp;new=Ada+Fenwick"' in choose
    page = tablet.get("/check-in/", {"template": "track", "new": "Ada Fenwick"}).content.decode()
    assert re.search(r'name="owner_name" value="Ada Fenwick"', page)
    page = tablet.get("/check-in/", {"template": "track", "new": "01632 960777"}).content.decode()
    assert re.search(r'name="owner_phone" value="01632 960777"', page)
    assert Owner.objects.count() == before


def test_another_bike_of_a_known_owner(cast: Cast, tablet: Client) -> None:
    """One tap from the find; the check-in asks nothing of the owner again."""
    owner = owner_of(cast)
    found = tablet.get("/find/", {"find": "dov", "leads": "check-in"}).content.decode()
    assert f'href="/check-in/?owner={owner.pk}"' in found
    page = tablet.get("/check-in/", {"template": "track", "owner": owner.pk}).content.decode()
    assert "New bike of Dov Ellenby" in page and 'name="owner_name"' not in page
    answer = tablet.post("/check-in/", {"template": "track", "owner": owner.pk, "key": "another-bike-1"})
    assert answer.status_code == 303
    assert Job.objects.latest("pk").bike.owner == owner
    assert Owner.objects.count() == 1


def test_the_same_phone_asks_who_it_is(cast: Cast, tablet: Client, counted: Callable[[str], int]) -> None:
    """By its figures; it is her takes the bike to her, somebody else is written down and not asked again."""
    owner = owner_of(cast)
    answer = tablet.post("/check-in/", {**NEW, "owner_name": "Lotte Brand", "key": "same-phone-01"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f"This number is Dov Ellenby's ({cast.tag})" in unescape(page)
    assert f'name="same_as" value="{owner.pk}"' in page and "somebody else" in page
    assert tablet.post("/check-in/", {**NEW, "same_as": owner.pk, "key": "same-phone-02"}).status_code == 303
    assert Job.objects.latest("pk").bike.owner == owner
    told = {**NEW, "owner_name": "Lotte Brand", "same_as": "another", "key": "same-phone-03"}
    assert tablet.post("/check-in/", told).status_code == 303
    lotte = Owner.objects.get(name="Lotte Brand")
    assert counted("owners told apart") == 1
    assert "has the same phone or name" not in tablet.get(f"/owner/{lotte.pk}/").content.decode()


def test_an_owner_is_put_right(cast: Cast, tablet: Client) -> None:
    """Several phones, e-mails, how they like to be reached; the receipt names the fields, the page shows who changed them."""
    owner = owner_of(cast)
    told = {
        "name": "Dov Ellenby", "phone": "01632 960123", "way_0": "01632 960124", "whose_0": "work", "way_3": "dov@example.org",
        "not_before": "9:00", "may_say_yes": "Lotte Brand 01632 960125", "note": "rings twice", "spend_limit": "45", "seen": "0",
        "key": "put-right-001",
    }  # fmt: skip
    answer = tablet.post(f"/owner/{owner.pk}/change/", told)
    assert answer.status_code == 303
    page = words_of(tablet.get(answer["Location"]).content)
    assert (
        "Saved: may say yes, not before, note, reach, limit without a call, further phones and e-mails."
        in page
    )
    assert "owner changed: " in page and "further phones and e-mails" in page and "Ines Holloway" in page
    owner.refresh_from_db()
    assert (owner.not_before, owner.reach, str(owner.spend_limit)) == ("09:00", "", "45.00")
    assert [one["value"] for one in owner.ways] == ["01632 960124", "dov@example.org"]
    assert "960124" not in str(list(Event.objects.values_list("said", flat=True)))


def test_a_refused_field_keeps_what_was_typed(cast: Cast, tablet: Client) -> None:
    """The sentence stands at the field; nothing of the page is lost."""
    owner = owner_of(cast)
    told = {"name": "Dov Ellenby", "way_3": "dov at home", "note": "rings twice", "key": "refused-001"}
    answer = tablet.post(f"/owner/{owner.pk}/change/", told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert unescape(page).count("name@place.something is the shape") == 2
    assert 'value="dov at home"' in page and "rings twice" in page


def test_consent_has_its_day_and_how(cast: Cast, tablet: Client) -> None:
    """Nobody asked is no yes; what was said stands with its day."""
    owner = owner_of(cast)
    assert "nobody asked: do not" in words_of(tablet.get(f"/owner/{owner.pk}/").content)
    told = {"about": "call-backs by text", "how": "by phone", "yes": "yes", "key": "consent-0001"}
    assert tablet.post(f"/owner/{owner.pk}/consent/", told).status_code == 303
    row = Consent.objects.get()
    assert (row.about, row.by_way, row.yes, row.how, str(row.day)) == (
        "call-backs",
        "text",
        True,
        "by phone",
        "2026-11-25",
    )
    assert "today, by phone, to Ines Holloway" in words_of(tablet.get(f"/owner/{owner.pk}/").content)


def test_two_owners_are_merged_and_taken_apart_on_screen(cast: Cast, tablet: Client) -> None:
    """Find the other, look at both side by side, merge; the old address leads to the kept one; undo brings both back."""
    owner = owner_of(cast)
    other = Owner.objects.create(name="Dov Elenby", phone="01632 960123", address="3 Weir Lane")
    assert "has the same phone or name" in words_of(tablet.get(f"/owner/{owner.pk}/").content)
    side = tablet.get(f"/owner/{owner.pk}/merge/", {"with": other.pk}).content.decode()
    assert "merge, keep Dov Ellenby" in side and 'name="take-name" value="gone"' in side
    found = tablet.get(f"/owner/{owner.pk}/merge/", {"find": "elenby"}).content.decode()
    assert f"/owner/{owner.pk}/merge/?with={other.pk}" in found
    asked = {"gone": other.pk, "take-address": "gone", "take-name": "kept", "key": "merge-on-screen"}
    assert tablet.post(f"/owner/{owner.pk}/merge/keep/", asked).status_code == 303
    assert tablet.get(f"/owner/{other.pk}/")["Location"] == f"/owner/{owner.pk}/"
    page = tablet.get(f"/owner/{owner.pk}/").content.decode()
    assert "3 Weir Lane" in page and "was Dov Elenby too" in page
    merge = re.search(r'name="merge" value="(\d+)"', page)
    assert merge
    tablet.post(f"/owner/{owner.pk}/merge/undo/", {"merge": merge.group(1), "key": "undo-on-screen"})
    assert "3 Weir Lane" not in tablet.get(f"/owner/{owner.pk}/").content.decode()
    assert "3 Weir Lane" in tablet.get(f"/owner/{other.pk}/").content.decode()


def test_a_bike_is_added_without_checking_it_in(cast: Cast, signed_in: Callable[[Person], Client]) -> None:
    """The counter writes a second bike down; it is nobody's job yet."""
    owner = owner_of(cast)
    told = {"bike_kind": "trike", "bike_words": "red trike", "frame_number": "T-77", "key": "add-bike-0001"}
    answer = signed_in(cast.counter).post(f"/owner/{owner.pk}/bike/", told)
    bike = Bike.objects.get(words="red trike")
    assert (bike.owner, bike.jobs.count()) == (owner, 0)
    saved = signed_in(cast.counter).get(answer["Location"])
    assert saved.request["PATH_INFO"] == f"/bike/{bike.tag}/"
    assert f"Saved: a further bike, {bike.tag}." in words_of(saved.content)
    assert "was never here" in words_of(signed_in(cast.counter).get(f"/owner/{owner.pk}/").content)


def test_an_owner_who_is_not_there(cast: Cast, tablet: Client) -> None:
    """Said plainly."""
    answer = tablet.get("/owner/4711/")
    assert answer.status_code == 404
    assert "There is no owner 4711. Find them by name, phone or tag." in answer.content.decode()


def test_a_bike_is_given_over_on_screen_and_taken_back(cast: Cast, tablet: Client) -> None:
    """Refused while it is here, entries kept; then found, given over, seen on the bike's and both owners' pages, and undone."""
    dov = owner_of(cast)
    page = f"/bike/{cast.tag}/owners/"
    asked = {"name": "Mara Quist", "phone": "01632 960555", "day": "", "key": "giving-on-screen"}
    refused = tablet.post(f"{page}give-over/", asked)
    assert refused.status_code == 409
    assert 'value="Mara Quist"' in refused.content.decode() and "end this stay first" in words_of(
        refused.content
    )
    off = {"reason": "wrong tag", "readings": "of this bike", "key": "called-off-before"}
    assert tablet.post(f"/job/{cast.story.job}/came-up/call-off/", off).status_code == 303
    mara = Owner.objects.create(name="Mara Quist", phone="01632 960555")
    Bike.objects.create(tag="MQ-001", owner=mara, kind="road", words="road bike")
    assert f"{page}?to={mara.pk}" in tablet.get(page, {"find": "quist"}).content.decode()
    assert "Mara Quist" in words_of(tablet.get(page, {"to": mara.pk}).content)
    given = tablet.post(f"{page}give-over/", {"to": mara.pk, "key": "giving-on-screen-2"}, follow=True)
    assert "Dov Ellenby's until" in words_of(given.content)
    assert "somebody else's from" in words_of(tablet.get(f"/bike/{cast.tag}/").content)
    assert cast.tag in words_of(tablet.get(f"/owner/{mara.pk}/").content)
    giving = re.search(r'name="giving" value="(\d+)"', given.content.decode())
    assert giving
    back = tablet.post(f"{page}undo/", {"giving": giving.group(1), "key": "not-given-on-screen"}, follow=True)
    assert "Taken back" in words_of(back.content) and owner_of(cast) == dov
