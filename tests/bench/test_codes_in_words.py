"""No bare code of the tables on a screen: what a part meets is said in words, and a code stands small behind them."""

import re

import pytest
from django.test import Client

from pinchbolt.records.models import Part
from pinchbolt.reference import tables
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.stays.not_seen import NotSeenRequest, say_not_seen
from tests import story
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled
from tests.paper.test_codes_in_words import bare, codes
from tests.story import NOW
from tests.workshop.parts.test_swap import ROAD

pytestmark = pytest.mark.django_db

# What is no text to read: what a button sends, and the small code behind the words.
_NO_TEXT = re.compile(
    r"<(script|option)\b.*?</\1>|<(\w+) class=\"(?:code|tag-code)\">.*?</\2>|<span class=\"note\">[\w.-]+</span>|<[^>]*>",
    re.DOTALL,
)
_SMALL = re.compile(r"<small>[\w.-]+</small>")


@pytest.mark.parametrize("page", [*PAGES, *MORE])
def test_no_page_says_a_bare_code(cast: Cast, tablet: Client, page: str) -> None:
    """A bike of which all is known that fit rules ask: every page, with what a chooser offers left out."""
    story.add_facts(cast.tag, ROAD)
    said = tablet.get(filled(page, cast), follow=True).content.decode()
    assert bare(_NO_TEXT.sub(" ", said)) == set()


def test_no_place_of_the_walk_round_says_a_bare_code(cast: Cast, tablet: Client) -> None:
    """Each place lists the parts of its corner with all that is known of them."""
    story.add_facts(cast.tag, ROAD)
    for place in tables().walk_round:
        told = tablet.get(f"/job/{cast.job}/walk-round/{place}/", follow=True)
        assert bare(_NO_TEXT.sub(" ", told.content.decode())) == set(), place


def test_what_can_be_chosen_for_a_part_is_said_in_words(cast: Cast, tablet: Client) -> None:
    """A button says what the trade calls it; the code stands small behind, also of what is known already."""
    story.add_facts(cast.tag, ROAD)
    kinds = [kind for kind in tables().kinds.values() if any(tables().facts[one].of for one in kind.facts)]
    parts = [part.id for part in build_of(bike_by_tag(cast.tag)).parts if part.kind in kinds]
    assert len(kinds) > 8 and len(parts) > 4
    ways = [f"add/?kind={kind.id}" for kind in kinds] + [f"part/{part}/" for part in parts]
    for way in ways:
        told = tablet.get(f"/bike/{cast.tag}/build/{way}", follow=True)
        text = _SMALL.sub(" ", told.content.decode())
        said = _NO_TEXT.sub(" ", text)
        at = {code: said[max(0, said.find(code) - 60) : said.find(code) + 30] for code in bare(said)}
        assert told.status_code == 200 and at == {}, way


def test_the_history_of_a_job_says_no_id(db: None) -> None:
    """What was done last stands in the head of each page of a job: joints, limits and facts by what they are called."""
    on = story.checked_in("gravel-1x")
    story.add_facts(on.tag, ROAD)
    walked = story.walked_round(on)
    frame = Part.objects.get(fittings__bike__tag=on.tag, kind="frame")
    say_not_seen(NotSeenRequest(on.job, frame.pk, "frame-crack"), by=on.first, key=on.key(), now=NOW)
    told = story.worked(story.answered(story.priced(walked)))
    said = " | ".join(one.words for one in bike_sheet(told.tag, NOW).history)
    rows = tables()
    ids = {*rows.joints, *rows.limits, *rows.facts, *codes()}
    ids = {one for one in ids if "-" in one or "_" in one}
    assert sorted(one for one in ids if re.search(rf"(?<![\w-]){re.escape(one)}(?![\w-])", said)) == []
    assert " N·m" in said and "frame, " in said


def test_the_answer_of_a_swap_says_no_bare_code(cast: Cast, tablet: Client) -> None:
    """A wheel between two bikes with all checks, what is missing and both sides."""
    story.add_facts(cast.tag, ROAD)
    other = story.checked_in("gravel-1x")
    asked = {"into": cast.tag, "out_of": other.tag, "move": "rear wheel"}
    said = tablet.get("/swap/", asked, follow=True).content.decode()
    assert "With that part alone" in said
    assert bare(_NO_TEXT.sub(" ", said)) == set()


def test_the_bins_say_what_a_part_meets_in_words_alone(cast: Cast, tablet: Client) -> None:
    """Not even small behind the words: whoever looks into a bin has no table at hand."""
    file = "number,kind,words,price,count,cassette\nCS-1,cassette,ten-speed cassette,42.00,1,c10-narrow\n"
    take_in_parts(PartsRequest(file), by=cast.mechanic.pk, key="bins-in-words", now=NOW)
    said = tablet.get("/bins/").content.decode()
    assert "packed 1 mm narrower" in said and "c10-narrow" not in said
