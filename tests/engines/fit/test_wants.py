"""What is wanted, said as at the counter: each word is heard, or said back as one that was not."""

from typing import Any

import pytest

from pinchbolt.engines.fit import not_heard, wants_in_words
from pinchbolt.errors import InputRefused

BOTH = "front rear"


def ends(condition: str, where: str = BOTH) -> list[str]:
    """A condition at each end."""
    return [condition.replace("@", end) for end in where.split()]


@pytest.mark.parametrize(
    ("words", "conditions", "passed_over"),
    [
        ("tubeless ready 25 wide rims", [*ends("rim_tubeless_@ == true"), *ends("rim_inner_@ == 25")], ()),
        ("wheels with tubeless ready rims", ends("rim_tubeless_@ == true"), ()),
        ("Tubeless-Ready rear rim", ends("rim_tubeless_@ == true", "rear"), ()),
        ("hookless rims 25 inside", [*ends("hook_@ == false"), *ends("rim_inner_@ == 25")], ()),
        ("a tyre 40-622 tubeless", [*ends('tyre_@ == "40-622"'), *ends("tyre_tubeless_@ == true")], ()),
        ("a red 10-44 cassette", ["sprocket_small == 10", "sprocket_big == 44"], ("red",)),
        ("hydraulic disc brakes", ends('brake_kind_@ == "disc"'), ("hydraulic",)),
        ("11 speed chain", ['chain == "ch-11"'], ()),
        ("boost rear wheel", ['rear_hub == "r-12x148"'], ()),
        ("34t big sprocket at least", ["sprocket_big >= 34"], ()),
        ("50/34 rings", ["ring_small == 34", "ring_big == 50"], ()),
        ("700x40 tyres", ends('tyre_@ == "40-622"'), ()),
        ("650b rims", ends("rim_bsd_@ == 584"), ()),
        ("24 mm spindle", ['spindle == "sp24"'], ()),
        ("metal pads", ends('pads_@ == "sintered"'), ()),
        ("mineral oil", ['fluid == "mineral"'], ()),
        ("hg 11 body", ['body == "hg-11"'], ()),
        ("203 front rotor, cheap", ["rotor_front == 203"], None),
        ("203 front rotor", ["rotor_front == 203"], ()),
    ],
)
def test_each_word_of_a_want_is_heard_or_said_back(
    tables: dict[str, Any], words: str, conditions: list[str], passed_over: tuple[str, ...] | None
) -> None:
    """What a mechanic means by it, and which words went into nothing; a clause of which nothing is understood is refused."""
    if passed_over is None:
        with pytest.raises(InputRefused, match='"cheap" is not understood'):
            wants_in_words(words, tables)
        return
    assert sorted(one.condition for one in wants_in_words(words, tables)) == sorted(conditions)
    assert not_heard(words, tables) == passed_over


def test_parts_alone_are_no_want(tables: dict[str, Any]) -> None:
    """Nothing is said of them."""
    with pytest.raises(InputRefused, match='"wheels and rims" is not understood'):
        wants_in_words("wheels and rims", tables)
