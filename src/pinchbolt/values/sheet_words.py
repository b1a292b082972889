"""The sentences of a sheet's template, found without a mark: what stands in square brackets is printed, and so read by a person.

A message is a run of text in which values stand as {name}; what decides, repeats or draws ends the run. How a template is written
is typst's own: text in brackets, programs everywhere else, "#" from the one to the other.
"""

import re
from collections.abc import Callable, Iterator

Say = Callable[[str, int], str]
"""What is said in the place of a message that begins at a line of the template."""

_VALUE = re.compile(r"#([a-z][\w-]*(?:\.[a-z][\w-]*)*)(?![\w-]*(?:\.[\w-]+)*[(\[])")
_WORD = re.compile(r"[a-z][\w-]*")
_CHAIN = re.compile(r"\.[a-z][\w-]*")
_UNTIL_LINE_END = frozenset(("let", "set", "show", "import", "include", "return"))
_BLOCKS = frozenset(("if", "for", "while"))
_CLOSING = {"(": ")", "{": "}", "[": "]"}
_LETTERS = re.compile(r"[^\W\d_]{2}")
# What no sentence runs through: the end of a paragraph, a forced line, the sign of a heading.
_BREAK = re.compile(r"\n\s*\n|\\(?=\s)|(?:^|(?<=\n)|(?<=\[))\s*=+ |\n(?=//)")


class _Sheet:
    """One reading of a template; `at` is the place that is read."""

    def __init__(self, source: str, say: Say) -> None:
        self.source, self.say, self.at = source, say, 0
        self.told: list[str] = []

    def text(self, end: str) -> None:
        """Read what is printed, up to the bracket that ends it."""
        began = self.at
        while self.at < len(self.source) and not self._ahead(end):
            if self._skipped():
                continue
            here = self.source[self.at]
            value = _VALUE.match(self.source, self.at) if here == "#" else None
            if value and value.group(1).split(".")[0] not in _UNTIL_LINE_END | _BLOCKS | {"context", "else"}:
                self.at = value.end()
            elif here in "#[":
                self._said(began)
                self.told.append(here)
                self.at += 1
                if here == "[":
                    self._inside("[")
                else:
                    self._hash()
                began = self.at
            else:
                self.at += 2 if here == "\\" else 1
        self._said(began)

    def _ahead(self, end: str) -> bool:
        return bool(end) and self.source[self.at] == end

    def _skipped(self) -> bool:
        """Step over a note for whoever reads the template; an address has the same two signs."""
        if self.source.startswith("//", self.at) and self.source[self.at - 1 : self.at] != ":":
            line_end = self.source.find("\n", self.at)
            self.at = len(self.source) if line_end < 0 else line_end
            return True
        return False

    def _said(self, began: int) -> None:
        """Say what was read since *began*, cut where no sentence runs through."""
        at = began
        told = self.source[began : self.at]
        for cut in [*_BREAK.finditer(told), None]:
            end = began + cut.start() if cut else self.at
            self.told.append(self._message(at, end))
            if cut:
                self.told.append(cut.group(0))
                at = began + cut.end()

    def _message(self, start: int, end: int) -> str:
        told = self.source[start:end]
        if told.lstrip().startswith("//") or not _LETTERS.search(_VALUE.sub("", re.sub(r"//.*", "", told))):
            return told
        gaps: dict[str, str] = {}

        def gap(found: re.Match[str]) -> str:
            name = found.group(1).rpartition(".")[2].replace("-", "_")
            count, free = 1, f"{{{name}}}"
            while gaps.get(free, found.group(0)) != found.group(0):
                count += 1
                free = f"{{{name}{count}}}"
            gaps[free] = found.group(0)
            return free

        whole = _VALUE.sub(gap, told)
        message = " ".join(whole.split())
        lead = len(told) - len(told.lstrip())
        said = self.say(message, self.source.count("\n", 0, start + lead) + 1)
        if said == message:
            return told
        put = re.sub(r"(\{\w+\})(?=([\w.(\[;-])?)", lambda found: _put_back(found, gaps), said)
        return told[:lead] + put + told[len(told.rstrip()) :]

    def _inside(self, opened: str) -> None:
        """Read on to the end of brackets that were just opened."""
        closed = _CLOSING[opened]
        if opened == "[":
            self.text(closed)
        else:
            self._program(closed)
        self.told.append(self.source[self.at : self.at + 1])
        self.at += 1

    def _program(self, ends: str) -> None:
        """Read a program up to one of the signs that end it."""
        while self.at < len(self.source) and self.source[self.at] not in ends:
            began = self.at
            here = self.source[began]
            if self._skipped():
                pass
            elif here == '"':
                self.at += 1
                while self.source[self.at] != '"':
                    self.at += 2 if self.source[self.at] == "\\" else 1
                self.at += 1
            else:
                self.at += 1
            self.told.append(self.source[began : self.at])
            if here in _CLOSING:
                self._inside(here)

    def _hash(self) -> None:
        """Read what stands behind a "#": a statement, a choice, a call, or brackets."""
        word = _WORD.match(self.source, self.at)
        name = word.group(0) if word else ""
        if name in _UNTIL_LINE_END:
            self._program("\n")
        elif name in _BLOCKS:
            self._choice()
        else:
            if word:
                self._take(word.end())
            self._calls()

    def _take(self, end: int) -> None:
        self.told.append(self.source[self.at : end])
        self.at = end

    def _choice(self) -> None:
        """Read `if ... [..] else [..]`: each block in its turn."""
        self._program("[{")
        self._opened()
        while more := re.compile(r"\s*else\b\s*").match(self.source, self.at):
            self._take(more.end())
            self._program("[{")
            self._opened()

    def _opened(self) -> None:
        here = self.source[self.at]
        self._take(self.at + 1)
        self._inside(here)

    def _calls(self) -> None:
        """Read fields, values in brackets and texts that follow a name."""
        while self.at < len(self.source):
            chain = _CHAIN.match(self.source, self.at)
            if chain:
                self._take(chain.end())
            elif self.source[self.at] in "([{":
                self._opened()
            else:
                return


def _put_back(found: re.Match[str], gaps: dict[str, str]) -> str:
    """A value in its gap; ";" ends its name where what follows would be read as a part of it."""
    value = gaps.get(found.group(1), found.group(1))
    return f"{value};" if found.group(2) and value.startswith("#") else value


def reworded_sheet(source: str, say: Say) -> str:
    """Return a template in which every message is what *say* answers; a message that it returns unchanged stays as it stands.

    Args:
        source: A template of a sheet, as typst reads it. [-]
        say: Asked with each message and its line. [-]

    Returns:
        The template. [-]

    Example:
        >>> reworded_sheet("#if data.many [Ask #data.owner first.]", lambda text, line: "First {owner}.")
        '#if data.many [First #data.owner;.]'
    """
    read = _Sheet(source, say)
    read.text("")
    return "".join(read.told)


def sheet_messages(source: str) -> Iterator[tuple[int, str]]:
    """Return line and text of each message of a sheet's template, in its order."""
    found: list[tuple[int, str]] = []

    def note(text: str, line: int) -> str:
        found.append((line, text))
        return text

    reworded_sheet(source, note)
    return iter(found)
