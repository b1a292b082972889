"""The swap page and the bins: two sides, the ways, a doubt settled, a file taken in."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from pinchbolt.records.models import BinPart, Event
from tests import story
from tests.bench.conftest import Cast
from tests.story import NOW
from tests.workshop.parts.test_swap import GRAVEL, PARTS, ROAD
from tests.workshop.parts.test_take_in_parts import GOOD, THEIRS

pytestmark = pytest.mark.django_db
WHEEL = {"into": "PB-002", "out_of": "PB-001", "move": "rear wheel", "rank": "price"}


@pytest.fixture
def both(cast: Cast) -> Cast:
    """A road and a gravel bike, and parts in the bins."""
    story.checked_in("gravel-1x")
    for tag, facts in (("PB-001", ROAD), ("PB-002", GRAVEL)):
        story.know(tag, facts)
    from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts

    take_in_parts(PartsRequest(PARTS), by=cast.mechanic.pk, key="parts-0001", now=NOW)
    return cast


def text_of(answer: object) -> str:
    """The page without its marks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))  # type: ignore[attr-defined]


def test_a_wheel_from_this_bike_into_that_one(both: Cast, tablet: Client) -> None:
    """Two sides, one part, one tap: how it stands, the best way with its price, its gears drawn, the reasons one tap away."""
    answer = tablet.get("/swap/", WHEEL)
    told = text_of(answer)
    assert answer.status_code == 200
    assert "With that part alone: does not fit" in told
    assert "cassette of its own, moved across" in told and "needed: 1.85 mm spacer behind" in told
    assert "£32.20" in told and "PB-001 is then without its rear wheel." in told
    page = answer.content.decode()
    assert "the gears now and after the swap" in page and page.count("<svg") >= 2
    assert "12 positions" not in told.split("the best way")[0] or "clicks" in page
    assert "11 positions, 12 sprockets" in told


def test_the_page_alone_offers_both_sides_and_the_bins(both: Cast, tablet: Client) -> None:
    """Bikes by tag, parts by what they are; nothing is answered before something is asked."""
    told = text_of(tablet.get("/swap/"))
    assert "PB-001" in told and "PB-002" in told and "rotor 140 (R-140, 2 in the bins)" in told
    assert "the best way" not in told


@pytest.mark.parametrize(
    ("chosen", "said"),
    [
        ({}, "Choose the bike to fit it to."),
        ({"into": "PB-002"}, "Choose where it comes from and which part, or say what you need."),
        ({"into": "PB-002", "move": "rear wheel"}, "Choose where it comes from and which part"),
        ({"into": "PB-002", "out_of": "PB-001"}, "Choose where it comes from and which part"),
    ],
)
def test_asked_with_too_little_the_page_says_what_is_missing(
    both: Cast, tablet: Client, chosen: dict[str, str], said: str
) -> None:
    """The button answers always; what was chosen stays chosen, and a link to the page asks for nothing."""
    page = tablet.get("/swap/", {"rank": "price", "into": "", "out_of": "", **chosen})
    assert said in text_of(page)
    assert not chosen.get("into") or 'value="PB-002" selected' in page.content.decode()
    assert "Choose the bike to fit" not in text_of(tablet.get("/swap/"))


def test_what_is_wanted_is_asked_in_figures(both: Cast, tablet: Client) -> None:
    """A figure that is none is refused, the entries kept."""
    told = text_of(tablet.get("/swap/", {"into": "PB-002", "sprocket_big": "45", "rank": "price"}))
    assert "sprocket_big &gt;= 45 into PB-002" in told or "sprocket_big >= 45 into PB-002" in told
    answer = tablet.get("/swap/", {"into": "PB-002", "sprocket_big": "big", "rank": "price"})
    assert answer.status_code == 422 and 'value="big"' in answer.content.decode()
    assert "a figure in teeth is expected" in text_of(answer)


@pytest.mark.parametrize(
    ("change", "status", "sentence"),
    [
        ({"into": "PB-099"}, 404, "No bike has the tag"),
        ({"out_of": "PB-002"}, 422, "is on both sides"),
        ({"move": "bell"}, 422, "is not moved from bike to bike"),
        ({"rank": "beauty"}, 422, "price, labour, changes"),
    ],
)
def test_a_swap_of_no_sense_is_refused_on_the_page(
    both: Cast, tablet: Client, change: dict[str, str], status: int, sentence: str
) -> None:
    """With the sentence of the use case."""
    answer = tablet.get("/swap/", {**WHEEL, **change})
    assert (answer.status_code, sentence in text_of(answer)) == (status, True)


def test_a_doubt_is_settled_where_it_is_said(both: Cast, tablet: Client, counted: object) -> None:
    """The room behind is not known: measured, typed in, and asked again with it; a slip comes back with its sentence."""
    asked = {**WHEEL, "tag": "PB-002", "fact": "opening_rear", "value": "48", "key": "fact-note-01"}
    assert "the narrowest opening of frame or fork" in text_of(tablet.get("/swap/", WHEEL))
    slip = tablet.post("/swap/fact/", {**asked, "value": "4800"})
    assert slip.status_code == 422 and "20 to 200 mm" in text_of(slip)
    answer = tablet.post("/swap/fact/", asked)
    assert answer.status_code == 303 and "move=rear+wheel" in answer["Location"]
    assert story.known("PB-002")["opening_rear"] == 48
    told = text_of(tablet.get(answer["Location"]))
    assert "the narrowest opening of frame or fork" not in told
    assert Event.objects.filter(kind="facts read").count() == 1


def test_a_doubt_about_the_part_that_moves_is_settled_on_the_bike_it_comes_from(
    both: Cast, tablet: Client
) -> None:
    """The hub of the wheel is the road bike's until it is moved; the room is the gravel bike's. Its rim had its tyre before."""
    unknown = ("rim_bsd", "rear_hub")
    story.know("PB-001", {name: value for name, value in ROAD.items() if name not in unknown})
    page = tablet.get("/swap/", WHEEL).content.decode()
    found = re.findall(r'name="tag" value="([^"]+)"><input type="hidden" name="fact" value="([^"]+)"', page)
    asked = {fact: tag for tag, fact in found}
    assert asked["rear_hub"] == "PB-001" and asked["opening_rear"] == "PB-002"
    assert "rim_bsd_rear" not in asked and "As it was before, and not known then either" in page


def test_the_counter_asks_and_writes_nothing_down(both: Cast, signed_in: object) -> None:
    """Readings are a mechanic's."""
    counter = signed_in(both.counter)  # type: ignore[operator]
    assert counter.get("/swap/", WHEEL).status_code == 200
    asked = {**WHEEL, "tag": "PB-002", "fact": "opening_rear", "value": "48", "key": "fact-note-02"}
    assert counter.post("/swap/fact/", asked).status_code == 403
    assert "opening_rear" not in story.known("PB-002")


@pytest.mark.parametrize("page", ["/swap/", "/bins/"])
def test_the_pages_are_for_those_who_work_here(cast: Cast, client: Client, page: str) -> None:
    """Signed out leads to the sign-in."""
    assert client.get(page)["Location"] == f"/sign-in/?next={page}"


@pytest.mark.parametrize("page", ["/swap/fact/", "/bins/file/", "/bins/take-in/"])
def test_what_writes_is_posted(cast: Cast, tablet: Client, page: str) -> None:
    """Looking changes nothing."""
    assert tablet.get(page).status_code == 302


def sent(text: bytes) -> SimpleUploadedFile:
    """A file as a browser sends it."""
    return SimpleUploadedFile("parts.csv", text, content_type="text/csv")


def laid(**more: str) -> dict[str, str]:
    """The columns of the other file laid on ours."""
    ours = ["number", "words", "kind", "price", "cassette", "-"]
    return {**{f"column-{number}": name for number, name in enumerate(ours)}, "text": THEIRS, **more}


def test_a_file_is_sent_laid_on_our_columns_tried_and_taken_in(cast: Cast, tablet: Client) -> None:
    """First what is missing is said, then what each bad line lacks; whole it is refused, the good line alone is taken."""
    first = tablet.post("/bins/file/", {"file": sent(THEIRS.encode())})
    assert first.status_code == 200 and "No column gives number and kind and words and price" in text_of(
        first
    )
    tried = text_of(tablet.post("/bins/file/", laid()))
    assert "1 new, 0 put right, 0 as it was, 2 refused; nothing is written yet." in tried
    assert "line 3 (A2):" in tried and "Columns not used: Colour." in tried
    whole = tablet.post("/bins/take-in/", laid(key="bins-take-01"))
    assert whole.status_code == 422 and "so nothing was taken in" in text_of(whole)
    assert "A1;wide cassette" in whole.content.decode(), "the file is kept"
    assert BinPart.objects.count() == 0
    done = tablet.post("/bins/take-in/", laid(key="bins-take-02", keep_good="yes"))
    assert done.status_code == 303
    assert "1 new, 0 put right, 2 refused." in text_of(tablet.get(done["Location"]))
    assert BinPart.objects.get().number == "A1"


def test_columns_of_our_names_are_known_and_the_bins_show_what_lies_there(cast: Cast, tablet: Client) -> None:
    """Nothing need be picked; the page lists kind by kind."""
    assert "3 new" in text_of(tablet.post("/bins/file/", {"file": sent(GOOD.encode())}))
    columns = {f"column-{number}": name for number, name in enumerate(GOOD.splitlines()[0].split(","))}
    assert tablet.post("/bins/take-in/", {**columns, "text": GOOD, "key": "bins-take-03"}).status_code == 303
    told = text_of(tablet.get("/bins/"))
    assert "11-speed 11-32 C-11 £65.00 2 in B4" in told and "to order" in told


@pytest.mark.parametrize(
    ("text", "sentence"),
    [(b"", "The file is empty"), (b"\xff\xfe1", "is not in UTF-8"), (b"a,a\n1,2\n", "is there twice")],
)
def test_a_file_that_is_none_is_refused_on_the_page(
    cast: Cast, tablet: Client, text: bytes, sentence: str
) -> None:
    """In a sentence."""
    answer = tablet.post("/bins/file/", {"file": sent(text)})
    assert answer.status_code == 422 and sentence in text_of(answer)


def test_a_move_that_is_done_is_written_down_from_the_page(both: Cast, tablet: Client) -> None:
    """One tap below the answer; a page that is open twice moves once; both bikes show it."""
    assert "save the swap" in text_of(tablet.get("/swap/", WHEEL))
    for _ in range(2):
        answer = tablet.post("/swap/moved/", {**WHEEL, "key": "swap-moved-01"})
        assert answer.status_code == 303 and answer["Location"].startswith("/bike/PB-002/?done=")
    saved = text_of(tablet.get(answer["Location"]))
    assert "Saved: rear wheel of PB-001 into PB-002. The old one is now with the owner." in saved
    assert Event.objects.filter(kind="part moved").count() == 1
    assert "rear wheel of PB-001 into PB-002" in text_of(tablet.get("/bike/PB-002/"))
    again = tablet.post("/swap/moved/", {**WHEEL, "key": "swap-moved-02"})
    assert again.status_code == 409 and "has no rear wheel on its build sheet" in text_of(again)


def test_what_was_displaced_goes_into_the_bins_by_a_tap(both: Cast, tablet: Client) -> None:
    """The answer offers where it may be; in the bins it has its price, and the history says so."""
    offered = text_of(tablet.get("/swap/", WHEEL))
    assert "the old one is now on PB-001 with the owner in the bins scrap" in offered
    done = tablet.post("/swap/moved/", {**WHEEL, "key": "swap-moved-01", "goes": "bins", "price": "45"})
    assert done.status_code == 303
    row = BinPart.objects.get(used_part__isnull=False)
    assert (row.kind, row.place, str(row.price), row.count) == ("wheel", "rear", "45.00", 1)
    assert "The old one is now in the bins." in text_of(tablet.get(done["Location"]))
    assert "what was there is in the bins" in text_of(tablet.get("/bike/PB-002/"))


def test_in_exchange_is_a_tap_too_and_a_bad_price_is_refused(both: Cast, tablet: Client) -> None:
    """The old wheel is on the other bike then; words for a price are sent back with the page."""
    bad = tablet.post("/swap/moved/", {**WHEEL, "key": "swap-moved-01", "goes": "bins", "price": "dear"})
    assert bad.status_code == 422 and Event.objects.filter(kind="part moved").count() == 0
    tablet.post("/swap/moved/", {**WHEEL, "key": "swap-moved-02", "goes": "exchange"})
    assert Event.objects.get(kind="part moved").said["exchange"] is True
