"""Every kind of act stands in one table: who may do it, and what a bike's history says of it."""

import ast
from pathlib import Path

import pytest

from pinchbolt.errors import NotAllowed
from pinchbolt.records.models import Event, Part, PartDescription, Person, Role
from pinchbolt.workshop.acts import kinds_of_act as acts
from pinchbolt.workshop.acts.acting import act, allowed
from pinchbolt.workshop.acts.kinds_of_act import ACTS, May, in_words
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.came_up.move_bike import SwollenRequest, find_swollen
from pinchbolt.workshop.leaving.bike_sheet import _history, bike_sheet
from tests.story import NOW, Story, checked_in, handed_over, signed_off

SRC = Path(acts.__file__).parents[1]


def kinds_written() -> set[str]:
    """Every kind that the program opens an act by, or writes as a further event of one."""
    found: set[str] = set()
    for path in SRC.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            first = node.args[0]
            if name in ("act", "also", "also_each") and isinstance(first, ast.Constant):
                found.add(str(first.value))
    return found


def test_every_kind_that_is_written_stands_in_the_table() -> None:
    """Acts, what they bring along, one by one and many at once: the question sees all three ways."""
    assert {"checked in", "call-back set", "item looked at"} <= kinds_written() <= set(ACTS)


def test_a_kind_that_is_not_in_the_table_cannot_be_written(arrived: Story) -> None:
    """Neither as an act nor as what an act brings along; nothing stays of it."""
    before = Event.objects.count()
    with (
        pytest.raises(LookupError, match=r"kinds_of_act\.py"),
        act("part polished", by=arrived.first, key="polish-0001", now=NOW, request={}),
    ):
        pass
    with (
        pytest.raises(LookupError, match=r"kinds_of_act\.py"),
        act("found", by=arrived.first, key="polish-0002", now=NOW, request={}) as this,
    ):
        this.also("part polished", "also", job=arrived.record)
    assert Event.objects.count() == before


@pytest.mark.parametrize("kind", sorted(ACTS))
def test_who_may_do_what_is_what_the_table_says(db: None, kind: str) -> None:
    """The owner of the workshop all, a mechanic all but the owner's, the counter what is for all."""
    by = {role: Person.objects.make(role[:5], role, role, "three plain words").pk for role in Role.values}
    may = ACTS[kind].may
    refused = {May.ALL: [], May.MECHANIC: [Role.COUNTER], May.OWNER: [Role.MECHANIC, Role.COUNTER]}[may]
    whom = (
        "for the owner of the workshop. Ask them to sign in"
        if may is May.OWNER
        else "a mechanic .*: ask one to sign in"
    )
    for role, pk in by.items():
        if role in refused:
            with pytest.raises(NotAllowed, match=whom):
                allowed(pk, kind)
        else:
            assert allowed(pk, kind).role == role


def test_the_counter_writes_down_what_the_owner_says_of_a_part(db: None) -> None:
    """An owner's word may be taken at the counter; what is read off a part is a mechanic's."""
    juno = Person.objects.make("juno", "Juno Marl", Role.COUNTER, "three plain words").pk

    class Said:
        source = "owner's word"

    class Read:
        source = "read off the part"

    assert allowed(juno, "part described", Said()).pk == juno
    with pytest.raises(NotAllowed, match="at the counter"):
        allowed(juno, "part described", Read())


@pytest.mark.parametrize(
    ("kind", "said", "words"),
    [
        (
            "part added",
            {"tag": "PB-001", "kind": "carrier", "end": "rear"},
            "rear carrier put on the build sheet",
        ),
        (
            "part added",
            {"kind": "lights", "words": "lights", "was_there": True},
            "lights put on the build sheet, was on the bike before",
        ),
        (
            "part replaced",
            {"part": 7, "words": "rotor front", "gone_to": "scrap"},
            "rotor front replaced; the old one to scrap",
        ),
        (
            "part taken off",
            {"words": "chain guide", "gone_to": "owner"},
            "chain guide taken off, to the owner",
        ),
        (
            "part taken off",
            {"words": "hanger", "gone_to": "never there"},
            "hanger struck off the build sheet: it never was there",
        ),
        (
            "part described",
            {"words": "chain", "source": "measured", "facts": {"chain_pitches": 114, "chain": None}},
            "chain, measured: chain not known, pitches of the chain as cut 114",
        ),
        ("corner confirmed", {"corner": "front brake"}, "front brake: looked at, the parts are as shown"),
        ("corner confirmed", {"corner": ""}, "the whole bike: looked at, the parts are as shown"),
        (
            "marking read",
            {"joint": "stem-face-4", "part": "stem", "greatest_n_m": 6.0},
            "marking read, stem face plate, four bolts, to handlebar, stem: at most 6 N·m",
        ),
    ],
)
def test_the_history_tells_of_a_change_in_words(
    arrived: Story, kind: str, said: dict[str, object], words: str
) -> None:
    """What was done, to what, and where the old part went."""
    with act(kind, by=arrived.first, key=arrived.key(), now=NOW, request=said) as this:
        this.write(bike=arrived.record.bike)
    assert bike_sheet(arrived.tag, NOW).history[0].words == words


def test_the_whole_bike_confirmed_is_one_line(arrived: Story) -> None:
    """One tap confirms twelve corners: twelve entries of the record, one line of the history."""
    bike = arrived.record.bike
    asked = {"tag": arrived.tag, "corner": ""}
    with act("corner confirmed", by=arrived.first, key=arrived.key(), now=NOW, request=asked) as this:
        this.write(bike=bike)
        for corner in ("front brake", "chain"):
            this.also("corner confirmed", corner, job=arrived.record, said={"corner": corner})
    told = [line.words for line in bike_sheet(arrived.tag, NOW).history]
    assert [words for words in told if "looked at" in words] == [
        "the whole bike: looked at, the parts are as shown"
    ]


def test_a_description_says_of_which_part(arrived: Story) -> None:
    """Where the act itself does not say how the part is called, the part that was described does."""
    bike = arrived.record.bike
    chain = Part.objects.get(fittings__bike=bike, kind="chain")
    asked = {"part": chain.pk, "source": "measured", "facts": {"chain_pitches": 114}}
    with act("part described", by=arrived.first, key=arrived.key(), now=NOW, request=asked) as this:
        PartDescription.objects.create(
            event=this.write(bike=bike), part=chain, facts=asked["facts"], source="measured"
        )
    assert bike_sheet(arrived.tag, NOW).history[0].words == "chain, measured: pitches of the chain as cut 114"


def test_a_whole_stay_is_told_with_a_handful_of_questions(
    on_the_stand: Story, django_assert_max_num_queries
) -> None:
    """Every line of a bike's history has words of its own kind, without a question to the database for each."""
    handed_over(signed_off(on_the_stand))
    with one_look(), django_assert_max_num_queries(6):
        lines = _history(on_the_stand.record.bike, 200)
    told = [line.words for line in lines]
    assert any(words.startswith("bill 2026-0001: £") for words in told), "money as the shop writes it"
    assert "work started on stand 1" in told and "signed off" in told
    assert sum("Verdict:" in words for words in told) == 9
    assert in_words(Event.objects.get(kind="handed over"), acts.Beside({}, {})) == "handed over"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("bulge on the left side", "battery swollen, outside: bulge on the left side"),
        ("", "battery swollen, outside"),
    ],
)
def test_a_mechanics_words_stand_behind_a_colon_where_there_are_any(words: str, told: str) -> None:
    """The history says what was seen on the battery; where nobody wrote a word, no colon stands behind it either."""
    on = checked_in("city-ebike")
    find_swollen(SwollenRequest(on.job, words), by=on.first, key=on.key(), now=NOW)
    assert bike_sheet(on.tag, NOW).history[0].words == told
