"""What is sent of a marking: the photo, cropped on the tablet where scripts run, and what is marked."""

import json
from dataclasses import replace

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Whole, Words
from pinchbolt.bench.photos.photos_form import LARGE
from pinchbolt.errors import InputRefused
from pinchbolt.values import JsonRead
from pinchbolt.values.wording import worded
from pinchbolt.workshop.came_up.photos import MOST_SENT
from pinchbolt.workshop.proof.take_marking import TakeMarkingRequest

TARGET = "target"


class MarkingPhotoForm(BenchForm):
    """One marking: which, its photo, and one of what was read (`take`) or what was typed."""

    what = Picked(worded("What is marked"))
    of = Picked("Where")
    name = Picked("Which")
    take = Picked(worded("What was read"))
    means = Picked(worded("What the figure is"))
    greatest = Figure(worded("What is marked"), worded("its own unit"))
    least = Figure(worded("The least"), "N·m")
    text = Words(worded("what is marked"))

    def picture(self) -> bytes | None:
        """The photo that was sent, the crop of the tablet before the whole; None where none came along.

        Raises:
            InputRefused: It is too large.
        """
        sent = self.files.get("crop") or self.files.get("photo")
        if sent is None:
            return None
        if sent.size is None or sent.size > MOST_SENT:
            raise InputRefused(LARGE, {"photo": LARGE})
        return bytes(sent.read())

    def asked(self, job: int) -> TakeMarkingRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: A field can't be read.
        """
        said = self.checked()
        asked = TakeMarkingRequest(job, said["what"], said["of"], said["name"])
        if said["take"]:
            return _as_read(asked, said["take"])
        is_target = said["means"] == TARGET
        greatest, target = (None, said["greatest"]) if is_target else (said["greatest"], None)
        return replace(asked, greatest=greatest, least=said["least"], target=target, text=said["text"])


def _as_read(asked: TakeMarkingRequest, taken: str) -> TakeMarkingRequest:
    """What was read, as its button carries it: the figures that were on it, and how they were read."""
    try:
        told = json.loads(taken)
        greatest, least = _figure(told, "greatest"), _figure(told, "least")
        words, read = str(told.get("text", "")), str(told.get("read", ""))[:200]
        return replace(asked, greatest=greatest, least=least, text=words, read=read)
    except (ValueError, TypeError, AttributeError):
        sentence = worded("What was read did not arrive whole: tap it again, or type it.")
        raise InputRefused(sentence, {"take": sentence}) from None


def _figure(told: JsonRead, name: str) -> float | None:
    value = told.get(name)
    return None if value is None else float(value)


class MarkingBackForm(BenchForm):
    """A marking to take back."""

    marking = Whole(worded("the marking"), "numbers")
