"""Commands in sentences, as they are typed where the sentence is read.

Every sentence names a command as it is typed once the program is installed: `pinchbolt serve`. Started by the launcher, other words
stand in front; a door prints those.
"""

import re
from collections.abc import Callable
from html import escape

INSTALLED = "pinchbolt"
COMMANDS = (
    "add", "backup", "bill-terms", "bills", "build", "calendar", "catalogue", "chain-length", "check-in", "claim", "confirm", "day",
    "demo", "describe", "doctor", "due", "export", "findings", "fit", "gears", "import", "kinds", "kit", "learn", "letters", "list",
    "mark-limit", "marking", "move", "open", "order", "owner", "promise", "reading", "replace", "restore", "rides", "round",
    "safety-list", "serve", "sheet", "short", "swap", "tables", "take-off", "token", "tools", "torque", "tyre", "walk-round",
    "warranty", "wear", "wheel",
)  # fmt: skip
"""Names of all commands (a test reads them off the program)."""
_NAMED = rf"(?<![\w/-]){INSTALLED} (?=(?:--help|{'|'.join(COMMANDS)})(?![\w-]))"
_IN_SENTENCE = re.compile(_NAMED)
# Whatever is typed into a field stays as it was typed.
_IN_PAGE = re.compile(rf"<textarea\b.*?</textarea>|<[^>]*>|{_NAMED}", re.DOTALL)


def as_typed(words: str, called: str) -> str:
    """Return *words* with each command as it is typed where the program is called by *called*.

    Example:
        >>> as_typed("Stop pinchbolt, then type pinchbolt restore FILE.", "python3 launch.py pinchbolt")
        'Stop pinchbolt, then type python3 launch.py pinchbolt restore FILE.'
    """
    return words if called == INSTALLED else _IN_SENTENCE.sub(_put(called), words)


def page_as_typed(page: str, called: str) -> str:
    """Return a page or a piece of one, commands in its text as they are typed; its tags and what fields hold stay.

    Example:
        >>> page_as_typed('<input value="pinchbolt serve"><code>pinchbolt serve</code>', "py launch.py pinchbolt")
        '<input value="pinchbolt serve"><code>py launch.py pinchbolt serve</code>'
    """
    if called == INSTALLED or not _IN_SENTENCE.search(page):
        return page
    put = _put(escape(called))
    return _IN_PAGE.sub(lambda found: found[0] if found[0].startswith("<") else put(found), page)


def _put(called: str) -> Callable[[re.Match[str]], str]:
    """What stands in the place of the program's name; a sentence that was through here once stays as it is."""
    before = called.removesuffix(INSTALLED)

    def put(found: re.Match[str]) -> str:
        was = found.string[max(0, found.start() - len(before)) : found.start()]
        return found[0] if before and was == before else f"{called} "

    return put
