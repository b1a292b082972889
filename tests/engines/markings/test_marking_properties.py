"""What holds for any text that a reader may see."""

from hypothesis import example, given, settings
from hypothesis import strategies as st

from pinchbolt.engines.markings import (
    DoubtKind,
    MarkingContext,
    MarkingKind,
    Sureness,
    TextSeen,
    read_texts,
)

SIGNS = st.text(alphabet="0123456789.,-–/()x×· NmMAXIbarpsikPVhWOolSB°Ø=", max_size=24)
KINDS = st.sampled_from(list(MarkingKind))
COPY = st.tuples(SIGNS, st.floats(0, 1), st.integers(0, 5))


def texts_of(rows: list[tuple[str, float, int]]) -> list[TextSeen]:
    """Rows as copies, each of its own, of a cut by number."""
    return [
        TextSeen(text, score, (0.0, 0.0, 1.0, 1.0), f"copy {n}", f"cut {cut}")
        for n, (text, score, cut) in enumerate(rows)
    ]


@given(KINDS, st.lists(COPY, max_size=14))
@example(MarkingKind.DIAMETER, [(".", 1.0, 0)])
@settings(max_examples=300, derandomize=True)
def test_any_texts_give_one_of_three_answers(kind, rows):
    """Never a fault; SURE has one, ONE_OF one to three, CANNOT none; every candidate says why."""
    found = read_texts(kind, texts_of(rows), MarkingContext(1e-3, 60.0))
    counts = {Sureness.SURE: (1, 1), Sureness.ONE_OF: (1, 3), Sureness.CANNOT: (0, 0)}[found.sureness]
    assert counts[0] <= len(found.candidates) <= counts[1]
    assert all(one.why and one.words for one in found.candidates)
    assert found.sureness is not Sureness.SURE or not found.candidates[0].doubts


@given(st.integers(10, 99), st.integers(2, 12), st.lists(st.integers(0, 3), min_size=4, max_size=12))
@settings(max_examples=200, derandomize=True)
def test_two_units_that_disagree_are_never_offered_as_one(tenths, times, cuts):
    """Any torque beside any other in in·lb that is 5 % or more away, however often it was seen."""
    torque = tenths / 10
    inch = round(torque / 0.1129848 * (1 + times / 20))
    text = f"{torque:g} N·m {inch} in·lb"
    found = read_texts(
        MarkingKind.TORQUE, texts_of([(text, 1.0, cut) for cut in cuts]), MarkingContext(0.5, 12.0)
    )
    assert found.sureness is not Sureness.SURE


@given(st.lists(COPY, min_size=1, max_size=10), st.randoms(use_true_random=False))
@settings(max_examples=150, derandomize=True)
def test_the_order_of_the_copies_says_nothing(rows, chance):
    """The same copies in another order give the same answer."""
    texts = texts_of(rows)
    mixed = list(texts)
    chance.shuffle(mixed)
    place = MarkingContext(2.0, 12.0)
    one, other = read_texts(MarkingKind.TORQUE, texts, place), read_texts(MarkingKind.TORQUE, mixed, place)
    assert one.sureness is other.sureness
    assert {each.words for each in one.candidates} == {each.words for each in other.candidates}


@given(st.floats(2.0, 12.0), st.sampled_from(["N·m", "Nm", "in·lb", "kgf·cm"]), st.integers(4, 12))
@settings(max_examples=150, derandomize=True)
def test_what_is_offered_for_sure_lies_in_the_bounds_of_the_place(torque, unit, copies):
    """Whatever is printed, in whichever unit: out of the bounds is never sure."""
    text = f"{torque * 1.7:.1f} {unit}"
    place = MarkingContext(2.0, 12.0)
    found = read_texts(MarkingKind.TORQUE, texts_of([(text, 1.0, n) for n in range(copies)]), place)
    if found.sureness is Sureness.SURE:
        assert all(2.0 * 0.999 <= one.value <= 12.0 * 1.001 for one in found.candidates[0].figures)
    else:
        assert (
            found.candidates == ()
            or DoubtKind.RANGE in {d.kind for d in found.candidates[0].doubts}
            or found.candidates
        )
