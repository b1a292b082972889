"""What is entered at a joint: done values, markings, and a joint to put on the sheet."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Whole
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.torque.bolt_read import BoltRequest
from pinchbolt.workshop.torque.read_marking import MarkingRequest
from pinchbolt.workshop.torque.record_done import DoneRequest

TARGET = "target"


class DoneForm(BenchForm):
    """A done value: the tool, what it was set to and what it showed. `sure` keeps a value out of the window."""

    tool = Whole(worded("The tool"), "numbers")
    done_n_m = Figure(worded("The torque saved"), "N·m")
    set_n_m = Figure(worded("The setting"), "N·m")
    sure = forms.BooleanField(required=False)

    def asked(self, job: int, joint: str) -> DoneRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No value or no tool.
        """
        said = self.checked()
        if said["done_n_m"] is None:
            sentence = worded("Type what the tool showed, in N·m.")
            raise InputRefused(sentence, {"done_n_m": sentence})
        if said["tool"] is None:
            sentence = worded("Choose the tool you used.")
            raise InputRefused(sentence, {"tool": sentence})
        return DoneRequest(job, joint, said["tool"], said["done_n_m"], said["set_n_m"], said["sure"])


class MarkingForm(BenchForm):
    """A marking read off a part of the joint; `means` tells a limit from a value that the maker names as the one to use."""

    part = Picked(worded("The part"))
    means = Picked(worded("What the figure is"))
    greatest_n_m = Figure(worded("The marking"), "N·m")
    least_n_m = Figure(worded("The least value, where a range is printed"), "N·m")

    def asked(self, tag: str, joint: str) -> MarkingRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No value.
        """
        said = self.checked()
        if said["greatest_n_m"] is None:
            sentence = worded("Type the number printed on the part, in N·m.")
            raise InputRefused(sentence, {"greatest_n_m": sentence})
        if said["means"] == TARGET:
            return MarkingRequest(tag, joint, said["part"], target_n_m=said["greatest_n_m"])
        return MarkingRequest(tag, joint, said["part"], said["greatest_n_m"], said["least_n_m"])


class BoltForm(BenchForm):
    """What was read on the joint's bolt; one tap on a head says what turns it."""

    property_class = Picked(worded("The class"))
    preparation = Picked(worded("The preparation"))
    drive = Picked(worded("What turns it"))
    thread = Picked(worded("The thread"))
    socket_mm = Figure(worded("socket across its flats, where it looks worn"), "mm")
    new_screw = forms.BooleanField(required=False)

    def asked(self, tag: str, joint: str) -> BoltRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return BoltRequest(
            tag,
            joint,
            said["property_class"],
            said["preparation"],
            said["drive"],
            said["thread"],
            said["socket_mm"],
            said["new_screw"],
        )


class JointForm(BenchForm):
    """A joint to put on the sheet."""

    joint = Picked(worded("The joint"))
