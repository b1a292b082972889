"""Build sheet, kinds and safety list from the command line."""

import pytest

from pinchbolt.workshop.bikes.build_view import build_view_of
from pinchbolt.workshop.bikes.kinds_view import kinds_view
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from tests.cli.conftest import Run
from tests.story import NOW, Story
from tests.workshop.build_story import fact, part_on

BY = ("--as", "ines")


def number(story: Story, kind: str, end: str = "") -> str:
    """The number of a part, as it is typed."""
    return str(part_on(story, kind, end).pk)


def test_the_safety_list_says_who_looks_and_why(arrived: Story, run: Run) -> None:
    """After a service: two pairs of eyes on the front brake of a disc bike, one on the bell; each with what puts it on the list."""
    line = propose(
        ProposeRequest(arrived.job, "full-service"), by=arrived.first, key=arrived.key(), now=NOW
    ).line
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    answer(AnswerRequest(arrived.job, {line: True}), by=arrived.first, key=arrived.key(), now=NOW)
    told = {item["id"]: item for item in run("safety-list", str(arrived.job), "--json").json["items"]}
    brake, wheel = told["so-brake-front"], told["so-wheel-front"]
    assert (brake["who_looks"], brake["if_not"]) == (
        "one person, and a second look by somebody else",
        "unsafe to ride",
    )
    assert brake["why"] == ["front brake, what the brake works on: disc"]
    assert wheel["why"] == ["front thru axle, tool type"] and told["so-headset"]["why"] == ["every bike"]
    assert told["so-headset"]["who_looks"] == "one person"
    plain = run("safety-list", str(arrived.job)).out
    assert "so-rotor: " in plain and "on the list for: disc brake" in plain


def test_the_safety_list_is_the_use_cases_own(arrived: Story, run: Run) -> None:
    """Letter for letter."""
    told = run("safety-list", str(arrived.job), "--json").json
    assert told == as_json(sign_off_list(arrived.record, NOW))


def test_the_build_sheet_tells_how_each_fact_is_known(arrived: Story, run: Run) -> None:
    """The bar was looked at, the rest comes from the template and says so."""
    told = run("build", arrived.tag.lower(), "--json").json
    assert told == as_json(build_view_of(arrived.tag))
    parts = {(part["kind"], part["end"]): part for corner in told["corners"] for part in corner["parts"]}
    bar = next(one for one in parts["handlebar", ""]["facts"] if one["fact"] == "material")
    assert (bar["value"], bar["source"], bar["confirmed"]) == ("aluminium", "read off the part", True)
    plain = run("build", arrived.tag).out
    assert f"part {number(arrived, 'rotor', 'front')}  front rotor" in plain
    assert "(template)" in plain and "not looked at" in plain and "joints: " in plain


def test_a_part_is_added_described_replaced_and_taken_off(arrived: Story, run: Run) -> None:
    """Mudguards on, a rotor read, pads new, mudguards to the owner: each answers with the part as it stands."""
    on = run("add", arrived.tag, "mudguards", "--was-there", *BY)
    assert on.code == 0 and on.out.startswith(f"{arrived.tag}, mudguards: on the build sheet.")
    rotor = number(arrived, "rotor", "front")
    told = run("describe", rotor, "--fact", "rotor=180", "--fact", "rotor_kind=six-bolt", *BY)
    assert "180 mm (read off the part)" in told.out
    pads = number(arrived, "pads", "rear")
    new = run("replace", pads, "--fact", "pads=sintered", "--gone-to", "scrap", *BY, "--json").json["part"]
    assert str(new) != pads and fact(arrived, part_on(arrived, "pads", "rear"), "pads").value == "sintered"
    gone = run("take-off", number(arrived, "mudguards"), "owner", *BY)
    assert gone.code == 0 and "off the build sheet, to the owner" in gone.out
    assert not [part for part in build_view_of(arrived.tag).parts if part.kind == "mudguards"]


def test_a_fact_with_nothing_behind_the_sign_is_known_no_longer(arrived: Story, run: Run) -> None:
    """Misread: taken back, and the template's word stands no more either."""
    pads = number(arrived, "pads", "front")
    run("describe", pads, "--fact", "pads=sintered", *BY)
    assert run("describe", pads, "--fact", "pads=", *BY).code == 0
    known = {
        one.fact for part in build_view_of(arrived.tag).parts if str(part.id) == pads for one in part.known
    }
    assert "pads" not in known


def test_a_corner_and_then_the_whole_bike_are_confirmed(arrived: Story, run: Run) -> None:
    """One corner by name; left out, all of them."""
    assert run("confirm", arrived.tag, "front-brake", *BY).out.strip() == "Confirmed as shown: front-brake."
    seen = {corner.id: corner.confirmed for corner in build_view_of(arrived.tag).corners}
    assert seen["front-brake"] and not seen["rear-brake"]
    assert len(run("confirm", arrived.tag, *BY, "--json").json["corners"]) == len(seen)
    assert all(corner.confirmed for corner in build_view_of(arrived.tag).corners)


def test_a_marking_on_a_rotor_governs(arrived: Story, run: Run) -> None:
    """'min. th. 1.55' on the disc: it is said that it governs, and what the table has."""
    rotor = number(arrived, "rotor", "front")
    told = run("mark-limit", rotor, "rotor-thickness-1.8", "1.55", *BY)
    assert (
        told.out.strip() == "rotor-thickness-1.8: 1.55 mm governs this part from now on; the table has 1.5."
    )
    assert "marked: thickness at least 1.55 mm" in run("build", arrived.tag).out


@pytest.mark.django_db
def test_kinds_tell_their_facts_limits_and_joints(run: Run) -> None:
    """All of them in a line each, one of them whole; nothing that is used up is among them."""
    told = {one["kind"]: one for one in run("kinds", "--json").json}
    assert "joining link" not in told and told["coaster brake"]["settled"]["stops_on"] == "coaster"
    rotor = run("kinds", "Rotor", "--json").json
    assert rotor == as_json(kinds_view("rotor")) and [one["kind"] for one in rotor] == ["rotor"]
    limit = next(one for one in rotor[0]["limits"] if one["limit"] == "rotor-thickness-1.8")
    assert (limit["at"], limit["unit"]) == (1.5, "mm") and limit["source"]
    plain = run("kinds", "rotor").out
    assert (
        "fact rotor: " in plain
        and "joint rotor-6-bolt: " in plain
        and "its maker's instructions win" in plain
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["safety-list", "99"], "There is no job 99."),
        (["build", "XX-9"], 'No bike has the tag "XX-9"'),
        (["kinds", "flux"], '"flux" is no kind of part'),
        (["kinds", "joining link"], "is used up and stands on no build sheet"),
        (["add", "PB-001", "flux", *BY], '"flux" is no kind of part'),
        (["add", "PB-001", "rotor", *BY], "rear"),
        (["add", "PB-001", "chain", *BY], "has a chain on its build sheet"),
        (["add", "PB-001", "bell"], "Say who you are"),
        (["add", "PB-001", "bell", "--fact", "colour", *BY], "NAME=VALUE is needed"),
        (["add", "PB-001", "bell", "--fact", "colour=red", *BY], '"colour" is not asked of it'),
        (
            ["add", "PB-001", "carrier", "--end", "rear", "--fact", "load_kg=9", "--fact", "load_kg=8", *BY],
            "given twice",
        ),
        (["add", "PB-001", "bell", "--since", "2030-01-01", *BY], "2030"),
        (["add", "PB-001", "bell", "--since", "soon", *BY], "--since"),
        (["add", "PB-001", "bell", "--source", "hearsay", *BY], '"hearsay"'),
        (["add", "PB-001", "bell", "--bin", "X-1", *BY], 'Nothing in the bins has the number "X-1"'),
        (["replace", "99999", *BY], "There is no part 99999."),
        (["take-off", "99999", "scrap", *BY], "There is no part 99999."),
        (["describe", "99999", "--fact", "pads=resin", *BY], "There is no part 99999."),
        (["confirm", "PB-001", "boot", *BY], '"boot" is no corner of the bike'),
        (["mark-limit", "99999", "rotor-thickness-1.8", "1.5", *BY], "There is no part 99999."),
        (["mark-limit", "1", "rotor-thickness-1.8", "thin", *BY], "a number is needed"),
    ],
)
def test_bad_input_is_one_sentence_and_changes_nothing(
    arrived: Story, run: Run, words: list[str], sentence: str
) -> None:
    """Exit 2, nothing on stdout, the build sheet as it was."""
    before = build_view_of(arrived.tag)
    ran = run(*words)
    assert (ran.code, ran.out) == (2, "") and sentence in ran.err and "\n" not in ran.err
    assert build_view_of(arrived.tag) == before


def test_a_slip_with_a_part_that_is_there_is_refused(arrived: Story, run: Run) -> None:
    """A place to go to that is none, a price that is none, a fact out of sense, nothing said, a limit of another kind."""
    rotor = number(arrived, "rotor", "front")
    for words, sentence in (
        (["take-off", rotor, "moon"], '"moon"'),
        (["take-off", rotor, "bins", "--price", "much"], "a number is needed"),
        (["take-off", rotor, "bins", "--day", "2020-01-01"], "it was fitted on"),
        (["describe", rotor, "--fact", "rotor=1600"], "120 to 240 mm"),
        (["describe", rotor], "Nothing is said of this front rotor"),
        (["mark-limit", rotor, "rim-crack", "1"], "is not marked on a front rotor"),
        (["mark-limit", rotor, "rotor-thickness-1.8", "18"], "18 mm"),
    ):
        ran = run(*words, *BY)
        assert (ran.code, ran.out) == (2, "") and sentence in ran.err, words


def test_the_same_mark_again_adds_nothing(arrived: Story, run: Run) -> None:
    """A script may be run again after a cut."""
    words = ["add", arrived.tag, "bell", *BY, "--key", "bell-0001", "--json"]
    assert run(*words).json == run(*words).json
    assert [part.kind for part in build_view_of(arrived.tag).parts].count("bell") == 1
