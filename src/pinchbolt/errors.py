"""The whole error tree. One shape on screen, on paper, in JSON and on the command line.

PinchboltError            anything said to a person; carries one sentence and, per field, one sentence
├── InputRefused          a value is wrong: fix it                       exit 2, status 422
│   ├── AsksSure          may be so, but should not: say that it is      exit 2, status 422
│   └── NotFound          no such bike, job, row                         exit 2, status 404
├── NotAllowed            this person may not do this                    exit 2, status 403
├── NotPossibleNow        sound, but not in this state or at this time   exit 2, status 409
├── RecordsAway           the records can't be written or read just now  exit 4, status 503
├── Unknown               a fact is missing; the sentence says which     exit 3, status 409
└── NoSafeAnswer          sound input, but no answer is safe             exit 3, status 409

A sentence has the shape: what, with its value: what is allowed. What to do next.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


def envelope_of(sentence: str, status: int, errors: Mapping[str, str] | None = None) -> dict[str, object]:
    """Return the one JSON shape of a refusal: a sentence, a sentence per field at fault, and the status again."""
    return {"error": sentence, "errors": dict(errors or {}), "status": status}


class PinchboltError(Exception):
    """Said to a person. `errors` maps a field's name to its own sentence."""

    status = 400
    exit_code = 2

    def __init__(self, sentence: str, errors: Mapping[str, str] | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.errors: dict[str, str] = dict(errors or {})

    def envelope(self) -> dict[str, object]:
        """The one JSON shape of a refusal."""
        return envelope_of(self.sentence, self.status, self.errors)


@dataclass(frozen=True, slots=True)
class Meant:
    """What was probably meant by a refused value: the value itself, and in words with its unit."""

    value: float
    words: str


class InputRefused(PinchboltError):
    """A value is wrong: the sentence says what is allowed. `meant` is what may be confirmed in its place."""

    status = 422

    def __init__(
        self, sentence: str, errors: Mapping[str, str] | None = None, meant: Sequence[Meant] = ()
    ) -> None:
        super().__init__(sentence, errors)
        self.meant = tuple(meant)

    def envelope(self) -> dict[str, object]:
        """The one JSON shape of a refusal; with what was probably meant, where that can be told."""
        told = super().envelope()
        if self.meant:
            told["meant"] = [{"value": one.value, "words": one.words} for one in self.meant]
        return told


class AsksSure(InputRefused):
    """A value that may be so but should not: told again as sure, it is written down as it was."""

    def envelope(self) -> dict[str, object]:
        """The one JSON shape of a refusal, and that `sure` answers it."""
        return {**super().envelope(), "asks_sure": True}


class NotFound(InputRefused):
    """No such bike, job or row."""

    status = 404


class NotAllowed(PinchboltError):
    """This person may not do this."""

    status = 403


class NotPossibleNow(PinchboltError):
    """Sound, but not in this state or at this time."""

    status = 409


class RecordsAway(PinchboltError):
    """The records can't be written or read just now: nothing is half-written, and the same request may come again."""

    status = 503
    exit_code = 4


class Unknown(PinchboltError):
    """A fact is missing: the sentence says which."""

    status = 409
    exit_code = 3


class NoSafeAnswer(PinchboltError):
    """Sound input, but no answer is safe."""

    status = 409
    exit_code = 3
