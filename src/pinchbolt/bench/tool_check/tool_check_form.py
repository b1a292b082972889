"""What is entered when a tool is checked."""

from collections.abc import Sequence

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.tools.arms import ArmRequest
from pinchbolt.workshop.tools.check_tool import (
    LookedOverRequest,
    MeasuredRequest,
    Point,
    ToolCheckRequest,
    TriedRequest,
)


class SizeForm(BenchForm):
    """A key's size, and what it was measured with."""

    measured_mm = Figure(worded("The size"), "mm")
    measured_with = Picked(worded("Measured with"))

    def asked(self, tool: int) -> MeasuredRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No size.
        """
        said = self.checked()
        return MeasuredRequest(
            tool, needed(said["measured_mm"], "measured_mm", worded("The size")), said["measured_with"]
        )


class ArmForm(BenchForm):
    """How long the arm is, or how far an adapter reaches."""

    arm_mm = Figure(worded("The length"), "mm")

    def asked(self, tool: int) -> ArmRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No length.
        """
        return ArmRequest(tool, needed(self.checked()["arm_mm"], "arm_mm", worded("The length")))


class WeightForm(BenchForm):
    """A weight on an arm, and the setting at which the tool clicked."""

    mass_kg = Figure(worded("the weight"), "kg")
    arm_mm = Figure(worded("drive to where it hangs"), "mm")
    clicked_n_m = Figure(worded("The setting that clicked"), "N·m")

    def asked(self, tool: int) -> TriedRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: A figure is missing.
        """
        said = self.checked()
        return TriedRequest(
            tool,
            needed(said["mass_kg"], "mass_kg", worded("The weight")),
            needed(said["arm_mm"], "arm_mm", worded("The arm")),
            needed(said["clicked_n_m"], "clicked_n_m", worded("The setting that clicked")),
        )


class CalibrationForm(BenchForm):
    """What a certificate says: the true torque at each of its points, or the worst deviation; and the next date."""

    true_0 = Figure(worded("true at the first"), "N·m")
    true_1 = Figure(worded("true at the second"), "N·m")
    true_2 = Figure(worded("true at the third"), "N·m")
    deviation_percent = Figure(worded("or the worst deviation alone"), "%")
    due = forms.DateField(
        label=worded("next calibration, if it is not in twelve months"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": worded("The next calibration is no day: choose one, or leave it empty.")},
    )

    def asked(self, tool: int, at: Sequence[float]) -> ToolCheckRequest:
        """Return it as the use case takes it; *at* are the settings of the points."""
        said = self.checked()
        true = (said["true_0"], said["true_1"], said["true_2"])
        points = tuple(
            Point(shown, value) for shown, value in zip(at, true, strict=False) if value is not None
        )
        out = said["deviation_percent"]
        return ToolCheckRequest(tool, None if out is None else out / 100, said["due"], points=points)


class ToolLookForm(BenchForm):
    """Looked over: good, or worn and why."""

    state = Picked(worded("How it is"))
    words = Words(worded("what is wrong with it"))

    def asked(self, tool: int) -> LookedOverRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return LookedOverRequest(tool, said["state"] == "good", said["words"])


def needed(value: float | None, field: str, name: str) -> float:
    """Return a figure that has to be there.

    Raises:
        InputRefused: It is empty.
    """
    if value is None:
        sentence = worded("{name} is empty: type the figure.", name=name)
        raise InputRefused(sentence, {field: sentence})
    return value
