"""The walk-round that is chosen, on the screen: cards, exceptions, measurements, complaints, two people at once."""

import re

from django.test import Client

from pinchbolt.engines.build import looks_on
from pinchbolt.paper import render
from pinchbolt.records.models import LookAnswer, NotSeen, Reading
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.looks.walk_list import walk_list
from tests.bench.job_screens.conftest import key
from tests.paper.reading import words
from tests.story import NOW, Story


def page(tablet: Client, on: Story, minutes: str = "10") -> str:
    """The page as it is now."""
    return tablet.get(f"/job/{on.job}/looks/", {"minutes": minutes}).content.decode()


def looks_up(html: str) -> list[str]:
    """The looks of the card that is up, in order."""
    card = html[html.index('id="card"') : html.index('class="looks-rest"')]
    return list(dict.fromkeys(re.findall(r'name="look\.([^"]+)"', card)))


def tap(tablet: Client, on: Story, **answers: str) -> int:
    """Send a card."""
    told = {f"look.{name}": answer for name, answer in answers.items()}
    return tablet.post(f"/job/{on.job}/looks/card/", {"key": key(), "minutes": "10", **told}).status_code


def send(tablet: Client, on: Story, html: str, minutes: str = "10", **tapped: str) -> int:
    """Tap the card's one button, with what was tapped before."""
    card = html[html.index('class="look-form"') : html.index('class="looks-rest"')]
    rest = dict(re.findall(r'name="(rest\.[^"]+)" value="([^"]+)"', card))
    told = {"key": key(), "minutes": minutes, **rest, **tapped}
    return tablet.post(f"/job/{on.job}/looks/card/", told).status_code


def test_the_first_card_is_the_floor_in_front(arrived: Story, ines: Client) -> None:
    """Without a complaint; nothing is chosen before a tap, and its one button answers the card."""
    html = page(ines, arrived)
    assert looks_up(html)[:3] == ["axle-closed:front", "brake-bite:front", "lever:front"]
    assert " checked" not in html and "looked at: the rest is good" in html
    assert send(ines, arrived, html) == 303
    assert set(LookAnswer.objects.values_list("look", "answer")) == {
        (look, "sound") for look in looks_up(html)
    }
    assert not set(looks_up(html)) & set(looks_up(page(ines, arrived)))


def test_every_card_is_answered_by_one_button(arrived: Story, ines: Client) -> None:
    """From the first to the last of all of it, nothing chosen before; what was only passed over is never called good."""
    cards, figures = 0, set()
    while 'id="card-name"' in (html := page(ines, arrived, "all")):
        card = html[html.index('id="card"') : html.index('class="looks-rest"')]
        assert " checked" not in card and re.search(r"\b\d+ in \d+", card) is None
        figures |= set(re.findall(r'name="rest\.([^"]+)" value="not looked at"', card))
        assert send(ines, arrived, html, "all") == 303
        cards += 1
        assert cards < 60
    told = dict(LookAnswer.objects.values_list("look", "answer"))
    assert figures and {told[look] for look in figures} == {"not looked at"}
    assert {answer for look, answer in told.items() if look not in figures} == {"sound"}


def test_ten_minutes_on_a_sound_gravel_bike_are_few_taps(arrived: Story, ines: Client) -> None:
    """One tap a card and one a figure that has buttons, the first button the sound one; a figure that is typed is passed over.

    What is passed over brings no row of lesser looks in its place.
    """
    taps, measured = 0, 0
    while 'id="card-name"' in (html := page(ines, arrived)):
        card = html[html.index('id="card"') : html.index('class="looks-rest"')]
        figure = re.search(r'<form class="look-measure".*?</form>', card, re.DOTALL)
        if figure:
            hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', figure[0]))
            name, value = re.findall(r'<button[^>]* name="([^"]+)" value="([^"]+)"', figure[0])[0]
            sent = {**hidden, name: value, "key": key()}
            assert ines.post(f"/job/{arrived.job}/looks/reading/", sent).status_code == 303
            measured += 1
        else:
            assert send(ines, arrived, html) == 303
        taps += 1
        assert taps <= 14, card
    assert measured >= 2
    assert re.search(r"nothing found in (4\d|5\d) of \d\d looks", html)


def test_a_tap_counts_before_the_button(arrived: Story, ines: Client) -> None:
    """What was tapped bad on the card stays bad, the rest is good."""
    html = page(ines, arrived)
    first, *rest = looks_up(html)
    bad = re.findall(rf'name="look\.{re.escape(first)}" value="(found[^"]*)"', html)[0]
    assert send(ines, arrived, html, **{f"look.{first}": bad}) == 303
    told = dict(LookAnswer.objects.values_list("look", "answer"))
    assert told == {first: "found", **dict.fromkeys(rest, "sound")}


def test_good_stands_left_and_the_fault_beside_it_on_every_look(arrived: Story, ines: Client) -> None:
    """One polarity: nobody reads whether a yes is good here."""
    html = page(ines, arrived, "all")
    for look in looks_up(html):
        values = re.findall(rf'name="look\.{re.escape(look)}" value="(\w+)', html)
        assert values[0] == "sound" and values[1] == "found", look
    card = html[html.index('id="card"') : html.index('class="looks-rest"')]
    assert ">yes<" not in card and ">no<" not in card


def test_an_exception_is_tapped_first(arrived: Story, ines: Client) -> None:
    """Found and could not see, the rest good: one act."""
    assert (
        tap(ines, arrived, **{"headset-play": "found", "bar-slip": "sound", "frame-crack": "could not see"})
        == 303
    )
    assert sorted(LookAnswer.objects.values_list("look", "answer")) == [
        ("bar-slip", "sound"), ("frame-crack", "could not see"), ("headset-play", "found"),
    ]  # fmt: skip
    assert sorted(Reading.objects.values_list("limit", "word")) == [
        ("bar-slip", "no"),
        ("headset-play", "yes"),
    ]
    assert [one.limit for one in NotSeen.objects.all()] == ["frame-crack"]


def test_who_ticked_is_shown_to_the_other(arrived: Story, ines: Client, tobias: Client) -> None:
    """With undo beside it; the part of the page that says so asks again by itself."""
    tap(ines, arrived, **{"headset-play": "sound"})
    html = page(tobias, arrived)
    assert "Ines Holloway" in html[html.index('id="looked"') :]
    assert 'hx-trigger="every 20s"' in html
    card = int(re.findall(r'name="card" value="(\d+)"', html)[0])
    back = {"key": key(), "minutes": "10", "card": str(card)}
    assert tobias.post(f"/job/{arrived.job}/looks/back/", back).status_code == 303
    assert tobias.post(f"/job/{arrived.job}/looks/back/", {**back, "key": key()}).status_code == 409


def test_a_bad_answer_is_refused_on_the_page(arrived: Story, ines: Client) -> None:
    """With a sentence, and nothing written."""
    told = {"key": key(), "look.belt": "sound"}
    answer = ines.post(f"/job/{arrived.job}/looks/card/", told)
    assert answer.status_code == 422
    assert "is no look at this bike now" in answer.content.decode()
    assert ines.post(f"/job/{arrived.job}/looks/card/", {"key": key()}).status_code == 422
    assert not LookAnswer.objects.exists()


def test_a_complaint_is_chosen_tested_and_closed(arrived: Story, ines: Client) -> None:
    """Its card leads; the cause is a word of the mechanic."""
    at = f"/job/{arrived.job}/looks"
    assert ines.post(f"{at}/complaint/", {"key": key(), "complaint": "creak"}).status_code == 303
    assert looks_up(page(ines, arrived))[0] == "frame-crack"
    test = {"key": key(), "complaint": "creak", "split": "stands", "answer": "no"}
    assert ines.post(f"{at}/test/", test).status_code == 303
    assert "Coasting: is it gone?" in page(ines, arrived)
    assert ines.post(f"{at}/test/", {**test, "key": key(), "answer": "perhaps"}).status_code == 422
    sign_off = ines.get(f"/job/{arrived.job}/sign-off/").content.decode()
    assert "creaks or clicks: not found; nothing was looked at for it." in sign_off
    assert ines.post(f"{at}/cause/", {"key": key(), "complaint": "creak"}).status_code == 422
    closed = {"key": key(), "complaint": "creak", "words": "pedal threads dry"}
    assert ines.post(f"{at}/cause/", closed).status_code == 303
    assert "complaint is open" not in ines.get(f"/job/{arrived.job}/sign-off/").content.decode()


def test_five_ten_twenty_minutes_or_all_of_it(arrived: Story, ines: Client) -> None:
    """Each is one tap away and marked when it is meant; more minutes hold more looks, each list keeps within its own."""
    many = []
    for told in ("5", "10", "20", "all"):
        html = page(ines, arrived, told)
        for other in ("5", "10", "20", "all"):
            assert f'?minutes={other}"' in html
        assert f'?minutes={told}" aria-current="true"' in html and html.count('aria-current="true"') >= 1
        chosen = walk_list(arrived.record, NOW, None if told == "all" else float(told))
        assert told == "all" or chosen.seconds <= 60 * float(told)
        many.append(sum(len(card.looks) for card in chosen.cards))
    assert many == sorted(set(many)) and many[-1] == len(looks_on(build_of(arrived.record.bike)))


def test_a_whole_corner_is_good_in_one_tap_and_says_by_whom(arrived: Story, ines: Client) -> None:
    """The card's one button: each look of the corner is written down with the hand that tapped, and shown to the next."""
    card = walk_list(arrived.record, NOW, 10).next_card
    assert card is not None and len(card.looks) > 2
    assert send(ines, arrived, page(ines, arrived)) == 303
    rows = LookAnswer.objects.select_related("event__by")
    assert {(row.look, row.answer, row.event.by.name) for row in rows} == {
        (one.look, "sound", "Ines Holloway") for one in card.looks
    }
    html = page(ines, arrived)
    assert (
        f"{len(card.looks)} looks: all good" in html and "Ines Holloway" in html[html.index('id="looked"') :]
    )


def test_an_open_complaint_is_told_at_the_sign_off_and_on_the_handover_sheet(
    arrived: Story, ines: Client
) -> None:
    """What was looked at for it, on the list, and in the words that are printed for the owner."""
    at = f"/job/{arrived.job}/looks"
    assert ines.post(f"{at}/complaint/", {"key": key(), "complaint": "creak"}).status_code == 303
    assert send(ines, arrived, page(ines, arrived)) == 303
    begins = "creaks or clicks: not found; looked at: "
    assert begins in ines.get(f"/job/{arrived.job}/sign-off/").content.decode()
    assert begins in words(render("handover", arrived.job, NOW))


def test_minutes_that_nobody_offers_are_ten(arrived: Story, ines: Client) -> None:
    """A number from anywhere."""
    for told in ("", "7", "-1", "all of it", "9" * 400):
        assert 'minutes=10" aria-current="true"' in page(ines, arrived, told)
