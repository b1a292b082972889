"""Marks of the five verdicts."""

from pinchbolt.drawing import verdict_mark
from pinchbolt.values import Verdict


def test_every_verdict_has_a_shape_of_its_own() -> None:
    """Told apart without colour: no two marks have the same outline."""
    assert len({verdict_mark(verdict) for verdict in Verdict}) == len(Verdict)


def test_the_ink_is_taken() -> None:
    """The same shape in another ink."""
    plain, warm = verdict_mark(Verdict.UNSAFE, "#000000"), verdict_mark(Verdict.UNSAFE, "#a53b00")
    assert plain.replace("#000000", "#a53b00") == warm
