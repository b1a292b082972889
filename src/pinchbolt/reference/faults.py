"""A fault in a table, its sentence, and the one refusal that carries them all."""

from collections.abc import Sequence
from dataclasses import dataclass

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

SHOWN_AT_MOST = 20
NEXT_STEP = worded("Correct the file and start again.")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong and where. `row` and `field` may be empty: the fault is then one of the whole file or row."""

    file: str
    row: str
    field: str
    wrong: str
    allowed: str

    @property
    def sentence(self) -> str:
        """What, with its value: what is allowed."""
        where = [self.file]
        if self.row:
            where.append(worded('row "{row}"', row=self.row))
        if self.field:
            where.append(worded('field "{field}"', field=self.field))
        end = "" if self.allowed.endswith("?") else "."
        return f"{', '.join(where)} {self.wrong}: {self.allowed}{end}"

    @property
    def place(self) -> str:
        """File, row and field as one key."""
        return "/".join(part for part in (self.file, self.row, self.field) if part)


def refusal(faults: Sequence[Fault]) -> InputRefused:
    """The refusal for *faults*: every sentence, the first twenty shown, then how many more there are."""
    shown = [fault.sentence for fault in faults[:SHOWN_AT_MOST]]
    more = len(faults) - len(shown)
    if len(faults) == 1:
        text = f"{shown[0]} {NEXT_STEP}"
    else:
        tail = worded("\nand {more} more.", more=more) if more else ""
        text = worded("{faults} faults in the tables:\n", faults=len(faults)) + "\n".join(shown) + tail
        text += worded("\nCorrect them and start again.")
    errors: dict[str, str] = {}
    for fault in faults:
        before = errors.get(fault.place)
        errors[fault.place] = f"{before} {fault.sentence}" if before else fault.sentence
    return InputRefused(text, errors)
