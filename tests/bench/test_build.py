"""The build sheet on the tablet: each act once however often it is sent, refused whole with its entries, and who may do it."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from django.test import Client

from pinchbolt.records.models import BinPart, CornerCheck, Event, Fitting, Marking, Part, Person
from pinchbolt.workshop.common.trade_tables import tables
from tests.bench.conftest import Cast
from tests.story import NOW
from tests.workshop.build_story import fact, from_nothing, part_on

pytestmark = pytest.mark.django_db

OTHER_DAY = "2026-11-20"
LIMIT = "rotor-thickness-1.8"


def page_of(tablet: Client, tag: str, more: str = "") -> str:
    """The build sheet, or one of its pages."""
    return unescape(tablet.get(f"/bike/{tag}/build/{more}").content.decode())


def words_of(page: str) -> str:
    """The words of a page without its marks and drawings."""
    bare = re.sub(r"<(svg|script|style).*?</\1>|<[^>]+>", " ", page, flags=re.DOTALL)
    return re.sub(r"\s+([,;.])", r"\1", " ".join(bare.split()))


def part_words(page: str, part: Part) -> str:
    """What the sheet says of one part."""
    (found,) = re.findall(rf'<li class="sheet-part" id="part-{part.pk}".*?</li>', page, re.DOTALL)
    return words_of(found)


def act_on(cast: Cast, part: Part, act: str) -> str:
    """The address of an act on a part."""
    return f"/bike/{cast.tag}/build/part/{part.pk}/{act}/"


def test_the_sheet_shows_each_corner_with_its_parts_and_how_they_are_known(
    cast: Cast, tablet: Client
) -> None:
    """All corners of the table in its order; a part of a template is not looked at, and neither are its facts."""
    page = page_of(tablet, cast.tag)
    order = re.findall(r'<section class="corner" id="([^"]+)"', page)
    assert order == list(tables().corners)
    rotor = part_words(page, part_on(cast.story, "rotor", "front"))
    assert rotor.startswith("front rotor not looked at") and "1 joint" in rotor
    assert re.search(r"rotor's diameter 160 mm.*template, not looked at", rotor)


def test_a_corner_as_shown_is_one_tap(cast: Cast, tablet: Client) -> None:
    """Sent twice it is one; its parts are looked at then, and what is marked on them is still to be read."""
    address = f"/bike/{cast.tag}/build/as-shown/"
    for _ in range(2):
        answer = tablet.post(address, {"key": "corner-tap-0001", "corner": "front-brake"})
        assert answer.status_code == 303 and answer["Location"].endswith("#front-brake")
    assert CornerCheck.objects.filter(corner="front-brake").count() == 1
    page = page_of(tablet, cast.tag)
    front = part_words(page, part_on(cast.story, "rotor", "front"))
    assert front.startswith("front rotor on it before")
    assert re.search(r"rotor's mount [^?]*centre-lock read off the part", front)
    assert re.search(r"rotor's diameter 160 mm[^?]*template, not looked at", front)
    assert part_words(page, part_on(cast.story, "rotor", "rear")).startswith("rear rotor not looked at")


def test_the_whole_bike_as_shown_is_one_tap(cast: Cast, tablet: Client) -> None:
    """Every corner is confirmed; a corner that the tables have not is refused and writes nothing."""
    address = f"/bike/{cast.tag}/build/as-shown/"
    refused = tablet.post(address, {"key": "corner-tap-0002", "corner": "boot"})
    assert refused.status_code == 422 and "is no corner of the bike" in unescape(refused.content.decode())
    assert not CornerCheck.objects.exists()
    assert tablet.post(address, {"key": "corner-tap-0003", "corner": ""}).status_code == 303
    assert set(CornerCheck.objects.values_list("corner", flat=True)) == set(tables().corners)
    parts = re.findall(r'<li class="sheet-part" id="part-\d+".*?</p>', page_of(tablet, cast.tag), re.DOTALL)
    assert parts and not [part for part in parts if "not looked at" in part]


def test_a_corner_offers_the_kinds_that_belong_there_and_are_not_there_yet(
    cast: Cast, tablet: Client
) -> None:
    """At the front brake of a disc bike: a cable and blocks, no second rotor, no saddle; found by trade words from anywhere."""
    here = page_of(tablet, cast.tag, "add/?corner=front-brake").split('<details class="add-others"')[0]
    offered = set(re.findall(r"kind=([^&\"]+)", here))
    assert {"brake%20cable", "rim%20pads"} <= offered and not {"rotor", "saddle", "rotor%20front"} & offered
    found = page_of(tablet, cast.tag, "add/?corner=front-brake&find=mudg")
    assert "kind=mudguards" in found
    assert tablet.get(f"/bike/{cast.tag}/build/add/?corner=boot").status_code == 404
    assert tablet.get(f"/bike/{cast.tag}/build/add/?kind=boot").status_code == 422


def test_a_part_is_added_with_its_facts_in_one_go(cast: Cast, tablet: Client) -> None:
    """Asked with the table's own words, first what something turns on; a double tap is one part."""
    page = page_of(tablet, cast.tag, "add/?kind=rear+shock&corner=frame")
    assert "what springs it" in page and page.index("what springs it") < page.index(
        "more that may be read off it"
    )
    data = {"kind": "rear shock", "corner": "frame", "end": "", "f-springing": "air", "source": "read off the part",
            "since_when": "before", "key": "add-part-0001"}  # fmt: skip
    for _ in range(2):
        answer = tablet.post(f"/bike/{cast.tag}/build/add/", data)
        assert answer.status_code == 303 and "corner=frame" in answer["Location"]
    shock = part_on(cast.story, "rear shock")
    assert Part.objects.filter(kind="rear shock").count() == 1
    assert fact(cast.story, shock, "springing").value == "air"
    assert not shock.fittings.get().start_known
    assert "rear shock is on the build sheet" in words_of(
        unescape(tablet.get(answer["Location"]).content.decode())
    )


@pytest.mark.parametrize(
    ("when", "start", "known"),
    [
        ({"since_when": "today"}, NOW.date().isoformat(), True),
        ({"since_when": "day", "since": OTHER_DAY}, OTHER_DAY, True),
        ({"since_when": "before", "since": OTHER_DAY}, None, False),
    ],
)
def test_since_when_is_three_taps_to_choose_from(
    cast: Cast, tablet: Client, when: dict[str, str], start: str | None, known: bool
) -> None:
    """Since today, since a day, or on it before anybody wrote: then a day that stands there by the way means nothing."""
    data = {"kind": "bell", "key": "add-part-0002", **when}
    assert tablet.post(f"/bike/{cast.tag}/build/add/", data).status_code == 303
    fitting = part_on(cast.story, "bell").fittings.get()
    assert fitting.start_known is known and start in (None, fitting.start.isoformat())


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"f-rotor": "16"}, "rotor's diameter"),
        ({"f-rotor_kind": "glued"}, "six-bolt, centre-lock"),
        ({"since_when": "day", "since": "2026-13-99"}, "can't be read"),
        ({"since_when": "day", "since": ""}, "is missing"),
        ({"since_when": "day", "since": "2027-01-01"}, "can't be after today"),
        ({"end": "left"}, "Say where it is"),
    ],
)
def test_a_refused_part_keeps_what_was_entered(
    tablet: Client, cast: Cast, wrong: dict[str, str], said: str
) -> None:
    """422, nothing written, the sentence at its field, and every other entry still there."""
    there = from_nothing("mtb")
    data = {"kind": "rotor", "corner": "front-brake", "end": "front", "f-rotor": "160", "f-rotor_kind": "six-bolt",
            "source": "maker's sheet", "since_when": "today", "key": "add-part-0003", **wrong}  # fmt: skip
    answer = tablet.post(f"/bike/{there.tag}/build/add/", data)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422 and said in page and "Not saved" in page
    assert not Part.objects.filter(kind="rotor", fittings__bike__tag=there.tag).exists()
    assert f'value="{data["f-rotor"]}"' in page
    assert re.search(r'name="source" value="maker\'s sheet" checked', page)
    if data["f-rotor_kind"] == "six-bolt":
        assert re.search(r'name="f-rotor_kind" value="six-bolt" checked', page)
    assert re.search(rf'name="since_when" value="{data["since_when"]}" checked', page)


def test_a_part_that_is_there_is_not_added_twice(cast: Cast, tablet: Client) -> None:
    """Another tablet was first: 409, said plainly, with the way to it."""
    answer = tablet.post(f"/bike/{cast.tag}/build/add/", {"kind": "chain", "key": "add-part-0004"})
    page = unescape(answer.content.decode())
    assert answer.status_code == 409 and "has a chain on its build sheet" in page and "#chain" in page


def test_the_same_at_the_other_end_is_one_tap(cast: Cast, tablet: Client) -> None:
    """What an eye tells is read off both; a marking of the one is a guess about the other. A double tap is one part."""
    there = from_nothing("mtb")
    data = {
        "kind": "rotor",
        "end": "front",
        "f-rotor": "180",
        "f-rotor_kind": "six-bolt",
        "key": "add-part-0005",
    }
    tablet.post(f"/bike/{there.tag}/build/add/", data)
    front = part_on(there, "rotor", "front")
    address = f"/bike/{there.tag}/build/part/{front.pk}/same/"
    for _ in range(2):
        assert tablet.post(address, {"end": "rear", "key": "same-tap-0001"}).status_code == 303
    rear = part_on(there, "rotor", "rear")
    told = {
        name: (fact(there, rear, name).value, fact(there, rear, name).source)
        for name in ("rotor", "rotor_kind")
    }
    assert told == {"rotor": (180, "guess"), "rotor_kind": ("six-bolt", "read off the part")}
    again = tablet.post(address, {"end": "rear", "key": "same-tap-0002"})
    assert again.status_code == 409


def test_a_part_is_described_and_a_fact_is_taken_back(cast: Cast, tablet: Client) -> None:
    """What is tapped is said; what is not tapped stays; "not known" takes it off again."""
    pads = part_on(cast.story, "pads", "rear")
    page = page_of(tablet, cast.tag, f"part/{pads.pk}/")
    assert "as it is: resin" in words_of(page) and "template" in page
    address = act_on(cast, pads, "describe")
    before = Event.objects.filter(kind="part described").count()
    told = {"f-pads": "sintered", "f-pad_shape": "", "source": "maker's sheet", "key": "describe-0001"}
    for _ in range(2):
        answer = tablet.post(address, told)
        assert answer.status_code == 303 and answer["Location"].endswith(f"#part-{pads.pk}")
    assert (fact(cast.story, pads, "pads").value, fact(cast.story, pads, "pads").source) == (
        "sintered",
        "maker's sheet",
    )
    assert Event.objects.filter(kind="part described").count() == before + 1
    tablet.post(address, {"f-pads": "not known", "source": "maker's sheet", "key": "describe-0002"})
    assert "pads' lining not known" in part_words(page_of(tablet, cast.tag), pads)


def test_a_refused_description_keeps_its_entries(cast: Cast, tablet: Client) -> None:
    """One answer is wrong: none is written, both are still there."""
    rotor = part_on(cast.story, "rotor", "front")
    data = {"f-rotor": "1600", "f-rotor_kind": "six-bolt", "source": "measured", "key": "describe-0003"}
    answer = tablet.post(act_on(cast, rotor, "describe"), data)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422 and 'value="1600"' in page
    assert re.search(r'name="f-rotor_kind" value="six-bolt" checked', page)
    assert re.search(r'name="source" value="measured" checked', page)
    assert fact(cast.story, rotor, "rotor_kind").source == "template"
    empty = tablet.post(act_on(cast, rotor, "describe"), {"source": "measured", "key": "describe-0004"})
    assert empty.status_code == 422 and "Nothing is said of this front rotor" in unescape(
        empty.content.decode()
    )


def test_a_limit_is_marked_on_a_part(cast: Cast, tablet: Client) -> None:
    """A likely figure by one tap, another one typed; the newest counts, and the sheet tells it."""
    rotor = part_on(cast.story, "rotor", "front")
    assert 'value="1.5"' in page_of(tablet, cast.tag, f"part/{rotor.pk}/?do=mark")
    address, row = act_on(cast, rotor, "mark"), {"row": "r1", "r1-limit": LIMIT}
    for _ in range(2):
        assert tablet.post(address, {**row, "r1-likely": "1.5", "key": "mark-limit-01"}).status_code == 303
    assert tablet.post(address, {**row, "r1-value": "1,6", "key": "mark-limit-02"}).status_code == 303
    assert Marking.objects.filter(event__corrected_by__isnull=True).get().least == 1.6
    assert "marked at least 1.6 mm" in part_words(page_of(tablet, cast.tag), rotor)


@pytest.mark.parametrize(
    ("typed", "said"), [("", "No figure is given"), ("160", "160"), ("thin", "Type the figures only")]
)
def test_a_refused_marking_keeps_its_figure(cast: Cast, tablet: Client, typed: str, said: str) -> None:
    """422, said at its figure, nothing written."""
    rotor = part_on(cast.story, "rotor", "front")
    data = {"row": LIMIT, f"{LIMIT}-limit": LIMIT, f"{LIMIT}-value": typed, "key": "mark-limit-03"}
    answer = tablet.post(act_on(cast, rotor, "mark"), data)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422 and said in page and f'value="{typed}"' in page
    assert not Marking.objects.exists()


def test_a_part_is_replaced_and_the_old_one_goes_where_it_was_said(cast: Cast, tablet: Client) -> None:
    """The new one with what was read off it, the old one in the bins; a double tap is one."""
    old = part_on(cast.story, "chain")
    assert "the old one goes" in page_of(tablet, cast.tag, f"part/{old.pk}/?do=replace")
    data = {
        "gone_to": "bins",
        "day": "",
        "f-chain": "ch-11",
        "source": "read off the part",
        "key": "replace-0001",
    }
    for _ in range(2):
        assert tablet.post(act_on(cast, old, "replace"), data).status_code == 303
    new = part_on(cast.story, "chain")
    assert new.pk != old.pk and fact(cast.story, new, "chain").value == "ch-11"
    assert BinPart.objects.get(used_part=old).count == 1
    refused = tablet.post(act_on(cast, new, "replace"), {"gone_to": "", "key": "replace-0002"})
    assert refused.status_code == 422 and "It goes to" in unescape(refused.content.decode())


@pytest.mark.parametrize("gone_to", ["scrap", "bins", "owner", "never there"])
def test_a_part_comes_off_by_one_tap_on_where_it_goes(cast: Cast, tablet: Client, gone_to: str) -> None:
    """Four ways, each a button; a double tap is one; the part is on the sheet no longer."""
    part = part_on(cast.story, "front derailleur")
    assert f'name="gone_to" value="{gone_to}"' in page_of(tablet, cast.tag, f"part/{part.pk}/?do=off")
    for _ in range(2):
        answer = tablet.post(
            act_on(cast, part, "off"), {"gone_to": gone_to, "day": "", "key": "take-off-0001"}
        )
        assert answer.status_code == 303
    assert Fitting.objects.get(part=part).gone_to == gone_to
    assert f'id="part-{part.pk}"' not in page_of(tablet, cast.tag)
    assert tablet.get(f"/bike/{cast.tag}/build/part/{part.pk}/").status_code == 404


def test_a_refused_take_off_keeps_its_day(cast: Cast, tablet: Client) -> None:
    """A day ahead: 422, the part stays, the day is still there; a frame has no such button."""
    part = part_on(cast.story, "chain")
    answer = tablet.post(
        act_on(cast, part, "off"), {"gone_to": "scrap", "day": "2027-02-01", "key": "take-off-0002"}
    )
    assert answer.status_code == 422 and 'value="2027-02-01"' in answer.content.decode()
    assert part.fittings.get().end is None
    frame = part_on(cast.story, "frame")
    assert 'name="gone_to"' not in page_of(tablet, cast.tag, f"part/{frame.pk}/?do=off")


def test_a_part_is_moved_to_another_bike_of_its_owner(cast: Cast, tablet: Client) -> None:
    """Both bikes stand as buttons where the part can be moved; it goes with its life."""
    from pinchbolt.records.models import Bike

    other = from_nothing("road")
    Bike.objects.filter(tag=other.tag).update(owner=cast.story.record.bike.owner)
    saddle = part_on(cast.story, "saddle")
    assert other.tag in page_of(tablet, cast.tag, f"part/{saddle.pk}/?do=off")
    data = {"move": "saddle", "into": other.tag, "key": "move-part-0001"}
    for _ in range(2):
        assert tablet.post(act_on(cast, saddle, "move"), data).status_code == 303
    assert part_on(other, "saddle").pk == saddle.pk


def test_a_used_part_is_fitted_out_of_the_bins(cast: Cast, tablet: Client) -> None:
    """What came off lies there, is offered where its kind is added, and comes back as the same part."""
    chain = part_on(cast.story, "chain")
    tablet.post(act_on(cast, chain, "off"), {"gone_to": "bins", "key": "take-off-0003"})
    assert f"USED-{chain.pk}" in page_of(tablet, cast.tag, "add/?kind=chain")
    data = {"kind": "chain", "bin": f"USED-{chain.pk}", "since_when": "today", "key": "add-part-0006"}
    assert tablet.post(f"/bike/{cast.tag}/build/add/", data).status_code == 303
    assert part_on(cast.story, "chain").pk == chain.pk


def test_a_part_of_the_bins_says_whether_it_fits_before_it_is_tapped(cast: Cast, tablet: Client) -> None:
    """A chain of another width lies there too: it stands behind the right one, with the rule's own reason."""
    from decimal import Decimal

    from pinchbolt.records.models import BinPart

    chain = part_on(cast.story, "chain")
    tablet.post(act_on(cast, chain, "off"), {"gone_to": "scrap", "key": "take-off-0009"})
    for number, speeds in (("A-CHAIN", 9), ("B-CHAIN", 12)):
        BinPart.objects.create(
            number=number, kind="chain", words=f"chain, {speeds}-speed", price=Decimal(20), count=1, facts={"chain": f"ch-{speeds}"}
        )  # fmt: skip
    page = page_of(tablet, cast.tag, "add/?kind=chain")
    assert page.index("B-CHAIN") < page.index("A-CHAIN")
    assert "does not fit" in page[page.index("A-CHAIN") :].split("</label>")[0]


def test_the_counter_writes_the_owners_word_and_nothing_else(
    cast: Cast, signed_in: Callable[[Person], Client]
) -> None:
    """The counter sees the sheet and writes down what the owner says; parts are a mechanic's."""
    counter = signed_in(cast.counter)
    pads = part_on(cast.story, "pads", "front")
    page = page_of(counter, cast.tag, f"part/{pads.pk}/")
    assert re.search(r'name="source" value="owner\'s word" checked', page)
    word = {"f-pads": "sintered", "source": "owner's word", "key": "counter-0001"}
    assert counter.post(act_on(cast, pads, "describe"), word).status_code == 303
    read = {"f-pads": "sintered", "source": "read off the part", "key": "counter-0002"}
    acts = [("describe", read), ("off", {"gone_to": "scrap"}), ("replace", {"gone_to": "scrap"})]
    for number, (act, data) in enumerate(acts):
        answer = counter.post(act_on(cast, pads, act), {"key": f"counter-no-{number}", **data})
        assert answer.status_code == 403, act
    shown = counter.post(f"/bike/{cast.tag}/build/as-shown/", {"key": "counter-0003", "corner": ""})
    assert shown.status_code == 403 and not CornerCheck.objects.exists()


def test_nobody_changes_a_build_sheet_signed_out_or_without_a_mark(cast: Cast, tablet: Client) -> None:
    """A stranger is led to the sign-in, a look changes nothing, an act needs its mark."""
    pads = part_on(cast.story, "pads", "front")
    before = Event.objects.count()
    for act in ("describe", "mark", "replace", "off", "move", "same"):
        assert Client().post(act_on(cast, pads, act), {}).status_code == 302
        assert tablet.get(act_on(cast, pads, act)).status_code == 302
        assert tablet.post(act_on(cast, pads, act), {}).status_code in (409, 422)
    assert Client().get(f"/bike/{cast.tag}/build/").status_code == 302
    assert tablet.get("/bike/XX-9/build/").status_code == 404
    assert Event.objects.count() == before


def test_a_part_whose_kind_is_in_no_table_any_more_is_kept_and_shown(cast: Cast, tablet: Client) -> None:
    """A workshop's own kind went with its file: the part stays with what is known of it, and can be taken off."""
    part = part_on(cast.story, "chain")
    part.kind, part.start_facts = "chain tensioner", {"tensioner_arm": ["long", "read off the part"]}
    part.save()
    told = part_words(page_of(tablet, cast.tag), part)
    assert "chain tensioner no kind of the tables now" in told or "no kind of the tables now" in told
    assert "tensioner arm long read off the part" in told
    for do in ("describe", "mark", "replace", "off"):
        assert tablet.get(f"/bike/{cast.tag}/build/part/{part.pk}/?do={do}").status_code == 200
    assert tablet.get(f"/bike/{cast.tag}/").status_code == 200
    assert (
        tablet.post(act_on(cast, part, "off"), {"gone_to": "owner", "key": "take-off-0004"}).status_code
        == 303
    )


def test_a_bike_begun_from_nothing_leads_to_its_build_sheet(cast: Cast, tablet: Client) -> None:
    """A button for each kind of bike; frame and safety bolts are there, and the sheet is the next tap."""
    offered = set(re.findall(r"/check-in/\?kind=([^\"]+)", tablet.get("/check-in/").content.decode()))
    assert offered == set(tables().bike_kinds)
    page = unescape(tablet.get("/check-in/?kind=trike").content.decode())
    assert 'name="bike_kind" value="trike"' in page and "the frame alone" in page
    done = tablet.post(
        "/check-in/", {"bike_kind": "trike", "owner_name": "Ada Merrow", "key": "begin-bike-01"}
    )
    assert done.status_code == 303
    after = unescape(tablet.get(done["Location"]).content.decode())
    assert re.search(r'<a class="act" data-do href="/bike/PB-\d+/build/">build sheet: add its parts', after)
    assert tablet.get("/check-in/?kind=hovercraft").status_code == 422
    no_name = tablet.post("/check-in/", {"bike_kind": "trike", "owner_name": "", "key": "begin-bike-02"})
    assert no_name.status_code == 422 and 'name="bike_kind" value="trike"' in no_name.content.decode()


def test_a_trike_asks_for_left_and_right(cast: Cast, tablet: Client) -> None:
    """Two front brakes stand side by side: each is a button of its own."""
    there = from_nothing("trike")
    here = page_of(tablet, there.tag, "add/?corner=front-brake").split('<details class="add-others"')[0]
    assert "kind=brake&end=front%20left" in here and "kind=brake&end=front%20right" in here
    assert "kind=brake&end=rear" not in here


def test_a_marking_is_two_taps_in_the_walk_round_and_governs_what_was_read(
    cast: Cast, tablet: Client
) -> None:
    """1.62 mm stands on the table's 1.5; marked 'min. th. 1.7' it is past its limit, and the card says what governs."""
    rotor = part_on(cast.story, "rotor", "front")
    row = f"r{rotor.pk}.{LIMIT}"
    place = f"/job/{cast.job}/walk-round/front-brake/"
    card = {"row": row, f"{row}-value": "1.62", "key": "take-read-0001"}
    assert tablet.post(f"/job/{cast.job}/walk-round/reading/", card).status_code == 303
    page = unescape(tablet.get(place).content.decode())
    assert f'name="m{row}-likely" value="1.5"' in page and "governs" not in page
    data = {"row": f"m{row}", f"m{row}-limit": LIMIT, f"m{row}-value": "1.7", "key": "mark-walk-0001"}
    for _ in range(2):
        answer = tablet.post(f"/job/{cast.job}/walk-round/mark/", data)
        assert answer.status_code == 303 and answer["Location"].endswith(f"#{row}")
    page = unescape(tablet.get(place).content.decode())
    (found,) = re.findall(
        rf'<article class="reading[^"]*" id="{re.escape(row)}".*?</article>', page, re.DOTALL
    )
    assert "marked 1.7 mm governs; the table has 1.5 mm" in words_of(found)
    assert "1.62 mm" in words_of(found) and "verdict-sound" not in found and "verdict-watch" not in found
    assert Event.objects.filter(kind="reading taken").count() == 2


def test_a_marking_that_a_new_part_would_not_meet_is_refused(cast: Cast, tablet: Client) -> None:
    """'min. th. 1.8' on a rotor that stands on the sheet as 1.8 mm when new: a thicker one, so it is described first."""
    rotor = part_on(cast.story, "rotor", "front")
    row = f"mr{rotor.pk}.{LIMIT}"
    data = {"row": row, f"{row}-limit": LIMIT, f"{row}-value": "1.8", "key": "mark-walk-0004"}
    answer = tablet.post(f"/job/{cast.job}/walk-round/mark/", data)
    assert answer.status_code == 422 and "Describe the part first" in unescape(answer.content.decode())
    assert not Marking.objects.exists()


def test_a_refused_marking_in_the_walk_round_stands_at_its_card(cast: Cast, tablet: Client) -> None:
    """A slip of the point: 422 at the card, with its figure; a part without such a card is a plain sentence."""
    rotor = part_on(cast.story, "rotor", "front")
    row = f"mr{rotor.pk}.{LIMIT}"
    data = {"row": row, f"{row}-limit": LIMIT, f"{row}-value": "15", "key": "mark-walk-0002"}
    answer = tablet.post(f"/job/{cast.job}/walk-round/mark/", data)
    assert answer.status_code == 422 and f'name="{row}-value" value="15"' in unescape(answer.content.decode())
    gone = tablet.post(f"/job/{cast.job}/walk-round/mark/", {"row": "mr999.x", "key": "mark-walk-0003"})
    assert gone.status_code == 404


@pytest.mark.parametrize("where", ["", "add/?corner=gears", "add/?kind=cassette", "part/{rotor}/", "part/{rotor}/?do=mark",
                                  "part/{rotor}/?do=replace", "part/{rotor}/?do=off"])  # fmt: skip
def test_no_page_of_the_sheet_carries_script_or_leaves_a_field_without_a_label(
    cast: Cast, tablet: Client, where: str
) -> None:
    """The content policy forbids script of a page's own; whoever hears the page knows what a field is."""
    said = page_of(tablet, cast.tag, where.format(rotor=part_on(cast.story, "rotor", "front").pk))
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=", said)
    for form in re.findall(r"<form.*?</form>", said, re.DOTALL):
        if 'method="post"' in form:
            assert "csrfmiddlewaretoken" in form
            assert 'name="key"' in form or 'action="/look/"' in form
        for field in re.findall(r"<(?:input|textarea|select)[^>]*>", form):
            if any(f'type="{kind}"' in field for kind in ("hidden", "radio", "checkbox")):
                continue
            name = re.search(r'id="([^"]+)"', field)
            assert name and f'for="{name.group(1)}"' in form, field


def test_the_sheet_asks_the_records_the_same_for_any_number_of_parts(
    cast: Cast, tablet: Client, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    """Some twenty questions with the sign-in, however many parts: none a part."""
    with django_assert_max_num_queries(20):  # type: ignore[attr-defined]
        answer = tablet.get(f"/bike/{cast.tag}/build/")
    assert answer.status_code == 200
