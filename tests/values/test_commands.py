"""Commands in sentences and on pages, as they are typed where they are read."""

import pytest

from pinchbolt.cli.command_door import app
from pinchbolt.values.commands import COMMANDS, INSTALLED, as_typed, page_as_typed

BY_LAUNCHER = "python3 launch.py pinchbolt"


def test_every_command_of_the_program_is_known() -> None:
    """One that is missing would be printed as it does not work."""
    there = {
        one.name or one.callback.__name__.replace("_", "-") for one in app.registered_commands if one.callback
    }
    assert sorted(there | {str(one.name) for one in app.registered_groups}) == sorted(COMMANDS)


@pytest.mark.parametrize(
    ("words", "typed"),
    [
        ("Start it with pinchbolt serve --network.", "Start it with python3 launch.py pinchbolt serve --network."),
        ("See: pinchbolt --help", "See: python3 launch.py pinchbolt --help"),
        ("Stop pinchbolt, then type pinchbolt restore F.", "Stop pinchbolt, then type python3 launch.py pinchbolt restore F."),
        ("pinchbolt may not write there.", "pinchbolt may not write there."),
        ("pinchbolt orders nothing.", "pinchbolt orders nothing."),
        ("Names of pinchbolt day-old things.", "Names of pinchbolt day-old things."),
        ("Read src/pinchbolt serve.", "Read src/pinchbolt serve."),
    ],
)  # fmt: skip
def test_a_command_is_written_as_it_was_called(words: str, typed: str) -> None:
    """The name of the program alone stays; said twice, a sentence has the words once."""
    assert as_typed(words, BY_LAUNCHER) == typed == as_typed(typed, BY_LAUNCHER)
    assert as_typed(words, INSTALLED) == words


def test_on_a_page_what_fields_hold_stays() -> None:
    """Only text is written anew, and what stands in front is safe in it."""
    field = '<textarea>\npinchbolt serve</textarea><input value="pinchbolt serve">'
    told = page_as_typed(f"{field}<code>pinchbolt serve</code>", 'python3 "/a <b>/launch.py" pinchbolt')
    assert told == f"{field}<code>python3 &quot;/a &lt;b&gt;/launch.py&quot; pinchbolt serve</code>"
