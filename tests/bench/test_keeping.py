"""Safe keeping on screen: what we hold, erasing, everything as files, a list taken in and back."""

import io
import re
import zipfile
from collections.abc import Callable
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template import Context, Engine, Template
from django.test import Client

from pinchbolt.bench.templatetags.kept import forget_pieces, kept_pieces
from pinchbolt.records.models import Bike, Owner, Person
from tests.bench.conftest import Cast
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Person], Client]
LIST = b"Name;Mobile;Bike\nAda Fenwick;07700 900118;gravel bike\n;;road bike\n"


@pytest.fixture(autouse=True)
def list_file(tmp_path: object, settings: object) -> None:
    """A list of erased numbers of this test's own."""
    settings.ERASED_LIST = f"{tmp_path}/erased-owners.txt"  # type: ignore[attr-defined]


def test_what_we_hold_is_handed_out_as_a_file(cast: Cast, tablet: Client) -> None:
    """One tap on the owner's page; the counter and the mechanic may."""
    owner = Bike.objects.get(tag=cast.tag).owner
    answer = tablet.post(f"/owner/{owner.pk}/held/", {"key": "held-00001"})
    assert answer["Content-Disposition"] == f'attachment; filename="what-we-hold-{owner.pk}.zip"'
    assert zipfile.ZipFile(io.BytesIO(answer.content)).namelist()[:2] == ["everything.json", "letter.pdf"]


def test_erasing_says_what_stops_it_and_what_would_go(cast: Cast, signed_in: SignedIn) -> None:
    """A bike that is here stops it; somebody without a bike is erased by the owner of the workshop with their passphrase."""
    page = (
        signed_in(cast.owner).get(f"/owner/{Bike.objects.get(tag=cast.tag).owner_id}/erase/").content.decode()
    )
    assert f"{cast.tag} is here" in page and "your passphrase" not in page
    ada = Owner.objects.create(name="Ada Fenwick", phone="01632 960118")
    told = {"passphrase": PASSPHRASE, "words_too": "yes"}
    assert (
        signed_in(cast.mechanic)
        .post(f"/owner/{ada.pk}/erase/for-good/", {**told, "key": "erase-00001"})
        .status_code
        == 403
    )
    wrong = signed_in(cast.owner).post(
        f"/owner/{ada.pk}/erase/for-good/", {**told, "passphrase": "no", "key": "erase-00002"}
    )
    assert wrong.status_code == 422 and "This is not your passphrase" in wrong.content.decode()
    assert (
        signed_in(cast.owner)
        .post(f"/owner/{ada.pk}/erase/for-good/", {**told, "key": "erase-00003"})
        .status_code
        == 303
    )
    after = signed_in(cast.mechanic).get(f"/owner/{ada.pk}/").content.decode()
    assert "owner erased" in after and "Fenwick" not in after


def test_nothing_drawn_before_names_an_erased_owner(cast: Cast, signed_in: SignedIn) -> None:
    """A piece of a page that was kept goes with its owner, and not only when others push it out."""
    forget_pieces()
    page = Template("{% kept owner %}<b>{{ owner }}</b>{% endkept %}", engine=Engine.get_default())
    ada = Owner.objects.create(name="Ada Fenwick", phone="01632 960118")
    page.render(Context({"owner": ada.name}))
    assert kept_pieces() == 1
    told = {"passphrase": PASSPHRASE, "words_too": "yes", "key": "erase-00004"}
    assert signed_in(cast.owner).post(f"/owner/{ada.pk}/erase/for-good/", told).status_code == 303
    assert kept_pieces() == 0


def test_everything_goes_out_by_the_owner_of_the_workshop_alone(cast: Cast, signed_in: SignedIn) -> None:
    """As one zip with its manifest."""
    assert signed_in(cast.mechanic).post("/keeping/everything/", {"key": "all-000001"}).status_code == 403
    answer = signed_in(cast.owner).post("/keeping/everything/", {"key": "all-000002"})
    assert 'filename="workshop-20' in answer["Content-Disposition"]
    names = zipfile.ZipFile(io.BytesIO(answer.getvalue())).namelist()
    assert (
        names[0] == "README.txt"
        and names[-1] == "manifest.json"
        and {"owners.csv", "events.ndjson"} <= set(names)
    )


def test_a_list_is_looked_at_taken_in_and_taken_back(cast: Cast, signed_in: SignedIn) -> None:
    """Columns guessed, the row that stops named, taken in without it, taken back."""
    tablet = signed_in(cast.owner)
    page = unescape(
        tablet.post("/keeping/list/", {"file": SimpleUploadedFile("list.csv", LIST)}).content.decode()
    )
    assert (
        '<option value="phone" selected>' in page
        and "1 new owners" in page
        and "line 3: no name and no phone" in page
    )
    packed = re.search(r'id="packed"[^>]*>([^<]+)<', page)
    assert packed
    told = {
        "packed": packed.group(1),
        "column-0": "name",
        "column-1": "phone",
        "column-2": "bike_words",
        "key": "list-in-0001",
    }
    stopped = tablet.post("/keeping/list/in/", told)
    assert stopped.status_code == 422 and "1 of 2 rows stop it" in stopped.content.decode()
    assert (
        tablet.post(
            "/keeping/list/in/", {**told, "without_stopped": "yes", "key": "list-in-0002"}
        ).status_code
        == 303
    )
    assert Owner.objects.get(name="Ada Fenwick").bikes.get().kind == "gravel"
    page = tablet.get("/keeping/").content.decode()
    event = re.search(r'name="event" value="(\d+)"', page)
    assert event
    assert (
        tablet.post("/keeping/list/back/", {"event": event.group(1), "key": "list-back-01"}).status_code
        == 303
    )
    assert not Owner.objects.filter(name="Ada Fenwick").exists()


def test_a_list_is_not_even_looked_at_for_a_mechanic(cast: Cast, signed_in: SignedIn) -> None:
    """Reading one is as much work for the machine as taking it in."""
    sent = {"file": SimpleUploadedFile("list.csv", LIST)}
    answer = signed_in(cast.mechanic).post("/keeping/list/", sent)
    assert answer.status_code == 403 and "for the owner of the workshop" in answer.content.decode()


def test_what_is_no_list_is_said_on_the_page(cast: Cast, signed_in: SignedIn) -> None:
    """A spreadsheet's own file, and nothing at all."""
    tablet = signed_in(cast.owner)
    answer = tablet.post("/keeping/list/", {"file": SimpleUploadedFile("list.xlsx", b"PK\x03\x04")})
    assert answer.status_code == 422 and "save it as CSV first" in answer.content.decode()
    assert tablet.post("/keeping/list/", {}).status_code == 422
