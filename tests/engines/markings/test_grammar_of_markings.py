"""What a mechanic would say a marking means, asked of the grammar: written down before the program was asked."""

import pytest

from pinchbolt.engines.markings import (
    DoubtKind,
    MarkingContext,
    MarkingKind,
    Sureness,
    TextSeen,
    read_texts,
    same_marking,
    typed_marking,
)
from pinchbolt.errors import InputRefused

STEM, BRAKE_DISC, TYRE, TUBE = (
    MarkingContext(2.0, 12.0),
    MarkingContext(0.0008, 0.0026),
    MarkingContext(1e5, 12e5),
    MarkingContext(0.022, 0.036),
)
SIZES = MarkingContext(
    bead_seats=(0.349, 0.406, 0.559, 0.584, 0.590, 0.622),
    size_seats=lambda text: {"700X40C": (0.622,), "26x1.75": (0.559,)}.get(
        text.upper() if "C" in text.upper() else text
    ),
)


def seen(*texts: str, score: float = 0.97) -> list[TextSeen]:
    """Each text on a copy of its own, two cuts in turn."""
    return [
        TextSeen(text, score, (0.1, 0.1, 0.9, 0.3), f"copy {n}", f"cut {n % 2}")
        for n, text in enumerate(texts)
    ]


def told(
    kind: str, *texts: str, place: MarkingContext | None = None
) -> tuple[str, list[str], set[DoubtKind]]:
    """The answer, words of all candidates, and doubts of the first."""
    found = read_texts(MarkingKind(kind), seen(*texts), place)
    doubts = {one.kind for one in found.candidates[0].doubts} if found.candidates else set()
    return found.sureness.name, [one.words for one in found.candidates], doubts


@pytest.mark.parametrize(
    ("kind", "text", "place", "words", "figures"),
    [
        ("torque", "MAX 5 N·m", STEM, "MAX 5 N·m", {"greatest": 5.0}),
        ("torque", "5,5 Nm", STEM, "5.5 N·m", {"greatest": 5.5}),
        ("torque", "4 – 6 N-m", STEM, "4 to 6 N·m", {"least": 4.0, "greatest": 6.0}),
        ("torque", "MIN 4 Nm", STEM, "MIN 4 N·m", {"least": 4.0}),
        ("torque", "5 N·m (44 in·lb)", STEM, "5 N·m", {"greatest": 5.0}),
        ("rotor-limit", "MIN.TH.1.5", BRAKE_DISC, "MIN 1.5 mm", {"thickness": 0.0015}),
        ("rotor-limit", "MIN TH=1.55mm", BRAKE_DISC, "MIN 1.55 mm", {"thickness": 0.00155}),
        ("tyre-size", "40-622 (700x40C)", SIZES, "40-622", {"width": 0.040, "bead_seat": 0.622}),
        ("pressure", "3.5-6.0 bar", TYRE, "3.5 to 6.0 bar", {"least": 3.5e5, "greatest": 6.0e5}),
        ("pressure", "MAX 450 kPa", TYRE, "MAX 450 kPa", {"greatest": 4.5e5}),
        ("diameter", "Ø31.8", TUBE, "31.8 mm", {"diameter": 0.0318}),
        ("bolt-class", "10.9", None, "10.9", {"strength": 1e9, "yield": 0.9e9}),
        ("bolt-class", "A2-70", None, "A2-70", {"strength": 7e8}),
        ("bolt-class", "A2-100", None, "A2-100", {"strength": 1e9}),
        ("bolt-class", "A4-100", None, "A4-100", {"strength": 1e9}),
        (
            "battery",
            "36V 14Ah 504Wh",
            None,
            "36 V, 14 Ah, 504 Wh",
            {"voltage": 36.0, "charge": 50400.0, "energy": 1814400.0},
        ),
        ("speed", "MAX 25 km/h", None, "25 km/h", {"speed": 25 / 3.6}),
        ("frame-number", "WSB5031847", None, "WSB5031847", {}),
    ],
)
def test_a_marking_that_every_copy_shows_is_offered(kind, text, place, words, figures):
    """Six copies, two cuts, nothing against it: sure enough, with its figures in SI."""
    found = read_texts(MarkingKind(kind), seen(*[text] * 6), place)
    assert (found.sureness, found.candidates[0].words) == (Sureness.SURE, words)
    assert {one.name: one.value for one in found.candidates[0].figures} == pytest.approx(figures)


@pytest.mark.parametrize(
    ("kind", "text", "place", "doubt"),
    [
        ("torque", "MAX S Nm", STEM, DoubtKind.LETTERS),
        ("torque", "5 N·m 40 in·lb", STEM, DoubtKind.UNITS),
        ("torque", "MAX 5", STEM, DoubtKind.NO_UNIT),
        ("torque", "40 Nm", STEM, DoubtKind.POINT),
        ("torque", "80 Nm", MarkingContext(0.5, 9.0), DoubtKind.POINT),
        ("torque", "1.5 Nm", STEM, DoubtKind.RANGE),
        ("rotor-limit", "MIN TH 15", BRAKE_DISC, DoubtKind.POINT),
        ("tyre-size", "40-662", SIZES, DoubtKind.TABLE),
        ("tyre-size", "47-622 26x1.75", SIZES, DoubtKind.TABLE),
        ("pressure", "5 bar 37 psi", TYRE, DoubtKind.UNITS),
        ("bolt-class", "109", None, DoubtKind.POINT),
        ("battery", "36V 14Ah 540Wh", None, DoubtKind.UNITS),
    ],
)
def test_what_does_not_bear_itself_out_is_never_sure(kind, text, place, doubt):
    """However many copies show it and however sure the reader is: the doubt is said, and the hand chooses."""
    found = read_texts(MarkingKind(kind), seen(*[text] * 12, score=1.0), place)
    assert found.sureness is not Sureness.SURE
    assert found.candidates == () or any(doubt in {d.kind for d in one.doubts} for one in found.candidates)


def test_a_lost_decimal_point_is_offered_put_back_and_never_alone():
    """55 N·m on a stem that takes 12 at most: 5.5 is what is offered first, with the doubt said."""
    sure, words, doubts = told("torque", *["55 Nm"] * 8, place=STEM)
    assert (sure, words[0]) == ("ONE_OF", "5.5 N·m")
    assert DoubtKind.POINT in doubts


def test_where_both_can_be_neither_is_sure():
    """On a crank of 3 to 60 N·m a 40 may be a 4.0 that lost its point."""
    sure, words, _ = told("torque", *["40 Nm"] * 8, place=MarkingContext(3.0, 60.0))
    assert (sure, set(words)) == ("ONE_OF", {"40 N·m", "4.0 N·m"})


def test_a_second_unit_that_agrees_takes_that_doubt_away():
    """40 N·m beside 30 ft·lb is no 4.0."""
    assert told("torque", *["40 Nm (30 ft·lb)"] * 8, place=MarkingContext(3.0, 60.0))[:2] == (
        "SURE",
        ["40 N·m"],
    )


def test_copies_that_disagree_are_all_shown():
    """Half of them 3.5, half 5.5: one of these, and that the copies disagree."""
    sure, words, doubts = told("torque", *["3.5 Nm", "5.5 Nm"] * 4, place=STEM)
    assert (sure, set(words)) == ("ONE_OF", {"3.5 N·m", "5.5 N·m"})
    assert DoubtKind.COPIES in doubts


def test_one_cut_alone_is_not_enough():
    """Copies of one cut share what was cut off with it: 8 Nm of a 5-8 Nm."""
    texts = [TextSeen("8 Nm", 1.0, (0, 0, 1, 1), f"copy {n}", "as it is") for n in range(9)]
    found = read_texts(MarkingKind.TORQUE, texts, STEM)
    assert found.sureness is Sureness.ONE_OF
    assert DoubtKind.ALONE in {one.kind for one in found.candidates[0].doubts}


@pytest.mark.parametrize(
    ("kind", "text", "place", "borne_out"),
    [
        ("torque", "5 N·m (44 in·lb)", STEM, True),
        ("torque", "5 N·m", STEM, False),
        ("rotor-limit", "MIN.TH.1.5", BRAKE_DISC, False),
        ("diameter", "Ø31.8", TUBE, False),
        ("bolt-class", "10.9", None, False),
        ("frame-number", "WSB5031847", None, False),
    ],
)
def test_a_copy_fewer_will_do_where_the_marking_bears_itself_out(kind, text, place, borne_out):
    """Two units that agree say it twice; a single figure or name says it once, so that one more copy has to show it."""
    sure, _, doubts = told(kind, *[text] * 4, place=place)
    assert (sure, DoubtKind.ALONE in doubts) == (("SURE", False) if borne_out else ("ONE_OF", True))
    assert told(kind, *[text] * 5, place=place)[0] == "SURE"


def test_a_dash_before_the_figure_says_that_something_was_cut_off():
    """-8Nm is the end of a range."""
    assert told("torque", *["-8Nm"] * 8, place=STEM)[0] != "SURE"


@pytest.mark.parametrize("kind", list(MarkingKind))
@pytest.mark.parametrize("texts", [(), ("",), ("///",), ("the bolt",), ("N·m",), ("MAX",)])
def test_nothing_that_is_a_marking_offers_nothing(kind, texts):
    """No text, scratches, words: the keypad."""
    found = read_texts(kind, seen(*texts * 6), STEM)
    assert (found.sureness, found.candidates) == (Sureness.CANNOT, ())
    assert "ype it" in found.words


def test_pieces_of_one_line_are_one_marking():
    """MAX in one box and 5 N·m in the next."""
    pieces = [
        one
        for n in range(6)
        for one in (
            TextSeen("5 N·m", 0.9, (0.5, 0.1, 0.9, 0.2), f"copy {n}", f"cut {n % 2}"),
            TextSeen("MAX", 0.9, (0.1, 0.11, 0.4, 0.21), f"copy {n}", f"cut {n % 2}"),
        )
    ]
    assert read_texts(MarkingKind.TORQUE, pieces, STEM).candidates[0].words == "MAX 5 N·m"


def test_a_typed_marking_is_read_by_the_same_grammar():
    """What a hand typed and what a photo says are compared as figures, not as letters."""
    typed = typed_marking(MarkingKind.TORQUE, "4 - 6 Nm")
    found = read_texts(MarkingKind.TORQUE, seen(*["4–6 N·m"] * 6), STEM).candidates[0]
    assert same_marking(typed, found)
    assert not same_marking(typed, typed_marking(MarkingKind.TORQUE, "6 Nm"))
    assert same_marking(
        typed_marking(MarkingKind.FRAME_NUMBER, "ws50318"), typed_marking(MarkingKind.FRAME_NUMBER, "WS50318")
    )


@pytest.mark.parametrize(
    ("kind", "words"),
    [("torque", "tight"), ("torque", "5 Nm 40 in lb"), ("tyre-size", "40-5"), ("battery", "36 V")],
)
def test_a_typed_marking_that_is_none_is_refused(kind, words):
    """With what was typed, and what to do."""
    with pytest.raises(InputRefused, match="Write it as it is printed"):
        typed_marking(MarkingKind(kind), words)
