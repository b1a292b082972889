"""The bolt round on the tablet: one tap for a joint that held, a keypad for one that moved, and paper."""

from collections.abc import Callable

import pytest
from django.test import Client

from pinchbolt.records.models import Person, RoundTick, Tool
from tests.bench.conftest import Cast
from tests.story import STEM

pytestmark = pytest.mark.django_db


def page_of(tablet: Client, tag: str, which: str = "whole", more: str = "") -> str:
    """The page of a round."""
    return tablet.get(f"/bike/{tag}/bolt-round/?which={which}{more}").content.decode()


def wrench() -> int:
    """A click wrench of the story's board."""
    return Tool.objects.get(name__startswith="small click wrench").pk


def test_the_round_lists_its_joints_with_tool_and_setting(cast: Cast, tablet: Client) -> None:
    """And the cautions of this bike; nothing is ticked yet."""
    page = page_of(tablet, cast.tag)
    assert f'id="{STEM}"' in page and "round-figure" in page and "small click wrench" in page
    assert '<span class="figure">0</span> of' in page and "Brakes: no oil" in page
    assert "The marking on a part and its maker" in page


def test_a_joint_that_held_is_one_tap(cast: Cast, tablet: Client) -> None:
    """A double tap is one tick; the page comes back at the joint."""
    address = f"/bike/{cast.tag}/bolt-round/{STEM}/held/"
    for _ in range(2):
        answer = tablet.post(address, {"key": "held-tap-0001", "which": "whole"})
        assert answer.status_code == 303 and answer["Location"].endswith(f"#{STEM}")
    assert RoundTick.objects.count() == 1
    page = page_of(tablet, cast.tag)
    assert "nothing turned" in page and '<span class="figure">1</span> of' in page


def test_a_joint_that_moved_has_its_keypad_and_asks_out_of_the_window(cast: Cast, tablet: Client) -> None:
    """9 N·m on 4 to 6: asked, kept in the field, and written as it was once somebody is sure."""
    assert "it moved; now tight at" in page_of(tablet, cast.tag, more=f"&moved={STEM}")
    address = f"/bike/{cast.tag}/bolt-round/{STEM}/moved/"
    data = {"tool": str(wrench()), "done_n_m": "9", "which": "whole", "key": "moved-val-0001"}
    asked = tablet.post(address, data)
    page = asked.content.decode()
    assert asked.status_code == 422 and "yes, it was done at 9 N·m" in page and 'value="9"' in page
    assert not RoundTick.objects.exists()
    assert tablet.post(address, {**data, "sure": "1", "key": "moved-val-0002"}).status_code == 303
    assert not RoundTick.objects.get().inside


def test_a_tick_is_a_mechanics(cast: Cast, signed_in: Callable[[Person], Client], tablet: Client) -> None:
    """The counter is refused, a stranger led to the sign-in, a look changes nothing."""
    address = f"/bike/{cast.tag}/bolt-round/{STEM}/held/"
    assert signed_in(cast.counter).post(address, {"key": "held-tap-0002"}).status_code == 403
    assert Client().post(address, {"key": "held-tap-0003"}).status_code == 302
    assert tablet.get(address).status_code == 302
    assert tablet.post(address, {}).status_code == 422
    assert not RoundTick.objects.exists()


def test_what_is_not_there_is_said(cast: Cast, tablet: Client) -> None:
    """An unknown bike, joint or round is a plain sentence."""
    assert tablet.get("/bike/XX-9/bolt-round/").status_code == 404
    no_joint = tablet.post(f"/bike/{cast.tag}/bolt-round/no-such/held/", {"key": "held-tap-0004"})
    assert no_joint.status_code == 422 and "has no joint" in no_joint.content.decode()
    no_round = tablet.get(f"/bike/{cast.tag}/bolt-round/?which=yearly")
    assert no_round.status_code == 422 and "There is no round" in no_round.content.decode()


def test_the_round_prints(cast: Cast, tablet: Client) -> None:
    """As PDF, named by the bike's tag."""
    answer = tablet.get(f"/paper/bike/{cast.tag}/bolt-round.pdf?which=monthly")
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF-")
    assert f"{cast.tag}-bolt-round.pdf" in answer["Content-Disposition"]
