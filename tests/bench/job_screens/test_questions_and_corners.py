"""Questions that come before a place is read, and corners that are confirmed as shown."""

import re

from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import CornerCheck, Part, PartDescription
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.change_build import AddRequest, add_part
from pinchbolt.workshop.stays.walk_round import AskDue, walk_round
from tests.bench.job_screens.conftest import key
from tests.story import Story


def asked_at(on: Story, place: str) -> tuple[AskDue, ...]:
    """The questions of one place."""
    return next((one.asks for one in walk_round(on.record, timezone.now()) if one.id == place), ())


def card(page: str, about: str) -> str:
    """One card of the page."""
    found = re.search(rf'<article[^>]*id="{re.escape(about)}".*?</article>', page, re.DOTALL)
    assert found, about
    return found.group(0)


def buttons(page: str) -> list[str]:
    """What the big buttons of an answer send."""
    return re.findall(r'name="answer" value="([^"]+)"', page)


FLUIDS = ["mineral", "glycol", "DOT 3", "DOT 4", "DOT 5.1", "DOT 5"]


def test_the_question_stands_before_the_readings_with_how_to_find_it_out(
    arrived: Story, ines: Client
) -> None:
    """The fluid of the brake decides which age is read: the lid says it, in the words of the lid."""
    due = asked_at(arrived, "front-brake")[0]
    page = ines.get(f"/job/{arrived.job}/walk-round/front-brake/").content.decode()
    told = card(page, f"ask-{due.part}-fluid")
    assert "read the lid of the lever" in told
    assert buttons(told) == FLUIDS
    assert page.index(f"ask-{due.part}-fluid") < page.index('class="reading-what"')


def test_an_answer_is_written_and_can_be_put_right_on_the_spot(arrived: Story, ines: Client) -> None:
    """A wrong tap: the page says what was answered, and one more tap makes it another answer, or none."""
    due = asked_at(arrived, "front-brake")[0]
    address = f"/job/{arrived.job}/walk-round/front-brake/told/"
    data = {"part": due.part, "fact": "fluid", "answer": "mineral"}
    sent = ines.post(address, {"key": key(), **data})
    assert sent.status_code == 303
    assert sent["Location"].startswith(f"/job/{arrived.job}/walk-round/front-brake/?told=")
    known = build_of(arrived.record.bike).part(due.part)
    assert known is not None
    assert (known.facts["fluid"].value, known.facts["fluid"].source) == ("mineral", "read off the part")
    assert asked_at(arrived, "front-brake") == ()
    told = card(ines.get(sent["Location"].partition("#")[0]).content.decode(), f"ask-{due.part}-fluid")
    assert "answered" in told
    assert buttons(told) == [*FLUIDS, "not known"]
    ines.post(address, {"key": key(), **data, "answer": "not known"})
    assert [one.question.fact for one in asked_at(arrived, "front-brake")] == ["fluid"]


def test_an_answer_that_cannot_be_is_refused_at_its_card(arrived: Story, ines: Client) -> None:
    """The sentence stands in the card of the question, and nothing is written."""
    due = asked_at(arrived, "front-brake")[0]
    before = PartDescription.objects.count()
    address = f"/job/{arrived.job}/walk-round/front-brake/told/"
    for wrong, sentence in (("olive oil", "mineral, glycol"), ("  ", "Nothing was answered")):
        data = {"key": key(), "part": due.part, "fact": "fluid", "answer": wrong}
        answer = ines.post(address, data)
        assert answer.status_code == 422
        assert sentence in card(answer.content.decode(), f"ask-{due.part}-fluid")
    assert PartDescription.objects.count() == before


def test_an_answer_about_nothing_says_so_above(arrived: Story, ines: Client) -> None:
    """A part that is not there, no part, no question: a plain sentence at the top of the page."""
    address = f"/job/{arrived.job}/walk-round/front-brake/told/"
    for data, status in (
        ({"part": "987654", "fact": "fluid", "answer": "mineral"}, 404),
        ({"part": "", "fact": "", "answer": "mineral"}, 422),
        ({"part": "front", "fact": "fluid", "answer": "mineral"}, 422),
    ):
        answer = ines.post(address, {"key": key(), **data})
        assert answer.status_code == status
        assert 'class="refusal"' in answer.content.decode()


def test_a_figure_is_typed_on_keys_that_know_its_range(arrived: Story, ines: Client) -> None:
    """A cassette without a count of sprockets: which chain limit is read hangs on it. 1 to 14 are possible."""
    cassette = Part.objects.get(kind="cassette")
    ines.post(
        f"/job/{arrived.job}/walk-round/cassette/told/",
        {"key": key(), "part": cassette.pk, "fact": "sprockets_behind", "answer": "not known"},
    )
    asked = asked_at(arrived, "chain")
    assert [(one.part, one.question.fact) for one in asked] == [(cassette.pk, "sprockets_behind")]
    told = card(
        ines.get(f"/job/{arrived.job}/walk-round/chain/").content.decode(),
        f"ask-{cassette.pk}-sprockets_behind",
    )
    assert "data-keypad" in told
    assert 'data-low="1" data-high="14"' in told
    address = f"/job/{arrived.job}/walk-round/chain/told/"
    wrong = ines.post(
        address, {"key": key(), "part": cassette.pk, "fact": "sprockets_behind", "answer": "77"}
    )
    assert wrong.status_code == 422
    assert 'value="77"' in card(wrong.content.decode(), f"ask-{cassette.pk}-sprockets_behind")
    right = ines.post(
        address, {"key": key(), "part": cassette.pk, "fact": "sprockets_behind", "answer": "11"}
    )
    assert right.status_code == 303
    assert asked_at(arrived, "chain") == ()


def test_a_corner_shows_what_is_said_to_be_there_and_one_tap_confirms_it(
    arrived: Story, ines: Client
) -> None:
    """All four parts of the front brake stand above the button, each fact with how it is known; then it says confirmed."""
    address = f"/job/{arrived.job}/walk-round/front-brake/"
    page = ines.get(address).content.decode()
    shown = page[page.index('id="corner"') : page.index("as shown</button>")]
    for part in ("front brake", "front brake fluid", "front disc pads", "front rotor"):
        assert f"<strong>{part}</strong>" in shown
    assert "rotor&#x27;s diameter: 160 mm (template)" in shown
    sent = ines.post(f"{address}as-shown/", {"key": key()})
    assert sent.status_code == 303
    assert sent["Location"].startswith(address)
    assert list(CornerCheck.objects.values_list("corner", flat=True)) == ["front-brake"]
    page = ines.get(address).content.decode()
    assert "front brake: confirmed as shown" in page
    assert "as shown</button>" not in page
    # A diameter is marked on the rotor: a look at the corner does not read it.
    assert "rotor&#x27;s diameter: 160 mm (template)" in page
    assert "what the brake works on: disc</span>" in page


def test_places_of_one_corner_are_confirmed_together(arrived: Story, ines: Client) -> None:
    """Wheel and tyre are one corner of the drawing."""
    ines.post(f"/job/{arrived.job}/walk-round/front-tyre/as-shown/", {"key": key()})
    assert (
        "front wheel: confirmed as shown"
        in ines.get(f"/job/{arrived.job}/walk-round/front-wheel/").content.decode()
    )


def test_a_part_that_came_later_makes_the_corner_open_no_more(arrived: Story, ines: Client) -> None:
    """What a hand has just put on the build sheet needs no second tap."""
    ines.post(f"/job/{arrived.job}/walk-round/frame/as-shown/", {"key": key()})
    add_part(AddRequest(arrived.tag, "mudguards"), by=arrived.first, key=key(), now=timezone.now())
    page = ines.get(f"/job/{arrived.job}/walk-round/frame/").content.decode()
    assert "confirmed as shown" in page
    assert "<strong>mudguards</strong>" in page


def test_a_corner_that_is_none_says_so(arrived: Story, ines: Client) -> None:
    """An address of no place is a plain sentence."""
    answer = ines.post(f"/job/{arrived.job}/walk-round/moon/as-shown/", {"key": key()})
    assert answer.status_code == 404
    assert "no place" in answer.content.decode()


def test_the_sign_off_page_lets_the_whole_bike_be_confirmed_while_that_stands_open(
    arrived: Story, ines: Client
) -> None:
    """The stop, the corners that it names with their parts, the button; afterwards neither."""
    page = ines.get(f"/job/{arrived.job}/sign-off/").content.decode()
    # By its words and never by the code of a corner, in the order of the walk-round.
    (named,) = re.findall(r"Nobody has confirmed yet what stands at: ([^.]+)\.", page)
    assert named.endswith("battery and motor") and not re.search(r"[a-z]-[a-z]", named)
    assert "whole bike as shown" in page
    assert "battery and motor</dt><dd>nothing</dd>" in page
    sent = ines.post(f"/job/{arrived.job}/sign-off/as-shown/", {"key": key()})
    assert sent.status_code == 303
    page = ines.get(sent["Location"].partition("#")[0]).content.decode()
    assert "Nobody has confirmed yet" not in page
    assert "whole bike as shown" not in page
