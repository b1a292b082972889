"""The sentences of a page's template, found without a mark: what stands between its tags is said to a person by its nature.

A message is a run of text: values stand in it as {name}, tags of emphasis and links as <b> and </b>; a tag of the template that
decides or repeats ends the run, and so does every other tag of the page. What an attribute says (a label, a hint) is a message of
its own, and so are words that are handed to a piece of a page. Scripts, styles and comments are none.
"""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

Say = Callable[[str, int], str]
"""What is said in the place of a message that begins at a line of the template."""
Value = Callable[[str], str]
"""What stands in the place of a value that is read: `{{ ... }}`."""

_IN_TAG = r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}"
_TOKEN = re.compile(
    r"(?P<silent>\{%\s*comment\b.*?\{%\s*endcomment\s*%\}|\{#.*?#\}|<!--.*?-->|<!\w[^>]*>"
    r"|<script\b.*?</script\s*>|<style\b.*?</style\s*>)"
    r"|(?P<value>\{\{.*?\}\})"
    r"|(?P<block>\{%.*?%\})"
    rf"|(?P<tag></?[a-zA-Z](?:{_IN_TAG}|\"(?:{_IN_TAG}|[^\"])*\"|'(?:{_IN_TAG}|[^'])*'|[^<>\"'])*>)",
    re.DOTALL,
)
# Tags of a page that a sentence runs through, and tags of the template that print a value in the middle of one.
_INLINE = frozenset(
    ("a", "abbr", "b", "code", "em", "i", "kbd", "small", "span", "strong", "sub", "sup", "time")
)
_PRINTS = frozenset(("money", "guess", "firstof", "fact_value", "fact_plain", "widthratio"))
_ATTRIBUTE = re.compile(
    rf"(?<=\s)(aria-label|title|placeholder|alt|data-says)=\"((?:{_IN_TAG}|[^\"])*)\"", re.DOTALL
)
_BUTTON_VALUE = re.compile(rf"(?<=\s)(value)=\"((?:{_IN_TAG}|[^\"])*)\"", re.DOTALL)
# Words that a template hands on: to a piece by the name of its gap, to a keypad, in the place of a value that is not there.
_HANDED = re.compile(r"\b(?:note|words|nothing|heading|back|ending|label|title|says|what)=\"([^\"{}]*)\"")
_BARE = re.compile(r"(?<=\s)\"([^\"{}]* [^\"{}]*)\"")
_FILTERED = re.compile(r"\|(?:default|join|yesno|default_if_none):\"([^\"{}]*)\"")
# worded("...") in a program of the page.
_MARKED = re.compile(r"\bworded\((\"(?:[^\"\\]|\\.)*\")")
_NAMED = re.compile(r"(\{\{\s*(?:\"[^\"]*\"|'[^']*'|[^\s|}]+))")
_LETTERS = re.compile(r"[^\W\d_]{2}")
_HANDS_ON = frozenset(("include", "keypad", "firstof", "with"))


@dataclass(frozen=True, slots=True)
class _Token:
    """A piece of a template; `name` is a tag's or a value's name, `start` its place."""

    sort: str
    text: str
    name: str
    start: int

    @property
    def closes(self) -> bool:
        """Whether it ends a tag of the page."""
        return self.text.startswith("</")


@dataclass(frozen=True, slots=True)
class _How:
    """A template, and what is said of it."""

    source: str
    say: Say
    value: Value


def reworded(source: str, say: Say, value: Value = str) -> str:
    """Return a template in which every message is what *say* answers; a message that it returns unchanged stays as it stands.

    Args:
        source: A template of a page. [-]
        say: Asked with each message and its line. [-]
        value: Asked with each value that a person reads. [-]

    Returns:
        The template. [-]

    Example:
        >>> reworded("<p>Ask <b>{{ job.owner }}</b>.</p>", lambda text, line: "<b>{owner}</b> first!")
        '<p><b>{{ job.owner }}</b> first!</p>'
    """
    return _whole(_How(source, say, value))


def _whole(how: _How) -> str:
    told: list[str] = []
    run: list[_Token] = []
    for token in _tokens(how.source):
        if _goes_on(token):
            run.append(token)
            continue
        told += [_run(how, run), _outside(how, token)]
        run = []
    told.append(_run(how, run))
    return "".join(told)


def with_filter(value: str, name: str) -> str:
    """Return a value of a template with a filter put before all others.

    Example:
        >>> with_filter("{{ line.answer|capfirst }}", "said")
        '{{ line.answer|said|capfirst }}'
    """
    return _NAMED.sub(rf"\1|{name}", value, count=1)


def messages(source: str) -> Iterator[tuple[int, str]]:
    """Return line and text of each message of a template, in its order."""
    found: list[tuple[int, str]] = []

    def note(text: str, line: int) -> str:
        found.append((line, text))
        return text

    reworded(source, note)
    return iter(sorted(found, key=lambda one: one[0]))


def script_messages(source: str) -> Iterator[tuple[int, str]]:
    """Return line and text of each sentence that a program of the page says: there they are marked, as in Python."""
    for found in _MARKED.finditer(source):
        yield _line(source, found.start()), str(json.loads(found.group(1)))


def _tokens(source: str) -> Iterator[_Token]:
    at = 0
    for found in _TOKEN.finditer(source):
        if found.start() > at:
            yield _Token("text", source[at : found.start()], "", at)
        sort, text = str(found.lastgroup), found.group(0)
        yield _Token(sort, text, _name(sort, text), found.start())
        at = found.end()
    if at < len(source):
        yield _Token("text", source[at:], "", at)


def _name(sort: str, text: str) -> str:
    if sort == "tag":
        return text.strip("</>").split(None, 1)[0].rstrip("/>").lower()
    inner = text[2:-2].split()
    if sort == "block":
        return inner[0] if inner else ""
    return "".join(inner)


def _goes_on(token: _Token) -> bool:
    if token.sort == "tag":
        return token.name in _INLINE
    return token.sort in ("text", "value") or (token.sort == "block" and token.name in _PRINTS)


def _outside(how: _How, token: _Token) -> str:
    """A token that is no part of a run, its own words said."""
    if token.sort == "tag":
        return _tag(how, token)
    return _block(how, token) if token.sort == "block" else token.text


def _line(source: str, at: int) -> int:
    return source.count("\n", 0, at) + 1


def _tag(how: _How, token: _Token) -> str:
    """A tag of the page with its spoken attributes said; what a submit button is called is one of them."""
    if token.closes:
        return token.text

    def attribute(found: re.Match[str]) -> str:
        line = _line(how.source, token.start + found.start())
        said = _attribute(
            found.group(2), _How("", lambda text, more: how.say(text, line + more - 1), how.value)
        )
        return f'{found.group(1)}="{said}"'

    text = _ATTRIBUTE.sub(attribute, token.text)
    if token.name == "input" and re.search(r"type=\"(submit|button)\"", text):
        text = _BUTTON_VALUE.sub(attribute, text)
    return text


def _attribute(text: str, how: _How) -> str:
    """What an attribute says, said: quotes in it stay signs of text."""
    return _whole(_How(text, lambda one, line: _quoted(one, how.say(one, line)), how.value))


def _quoted(before: str, after: str) -> str:
    return after if after == before else after.replace('"', "&quot;")


def _block(how: _How, token: _Token) -> str:
    """A tag or a value of the template with the words said that it hands on."""

    def words(found: re.Match[str]) -> str:
        text = found.group(1)
        if not _LETTERS.search(text):
            return found.group(0)
        said = " ".join(how.say(" ".join(text.split()), _line(how.source, token.start)).split())
        kept = text[: len(text) - len(text.lstrip())] + said + text[len(text.rstrip()) :]
        return found.group(0).replace(f'"{text}"', '"' + kept.replace('"', "”") + '"')

    text = _FILTERED.sub(words, token.text)
    if token.sort == "value":
        return how.value(text)
    if token.name in _HANDS_ON:
        text = _HANDED.sub(words, text)
        if token.name != "include":
            text = _BARE.sub(words, text)
    return text


def _run(how: _How, run: Sequence[_Token]) -> str:
    """A run of text, values and inline tags: one message, or one for each element where no text stands between them."""
    if not run:
        return ""
    pairs = _pairs(run)
    for at, token in enumerate(run):
        # A tag that opens or closes elsewhere ends the run.
        if token.sort == "tag" and at not in pairs:
            return _run(how, run[:at]) + _tag(how, token) + _run(how, run[at + 1 :])
    inner, at, said = [], 0, False
    while at < len(run):
        end = pairs.get(at, at)
        inner.append((at, end))
        said = said or (run[at].sort == "text" and _LETTERS.search(run[at].text) is not None)
        at = end + 1
    if said:
        return _message(how, run)
    told = []
    for start, end in inner:
        one = run[start]
        if start == end:
            told.append(_block(how, one) if one.sort in ("value", "block") else one.text)
        else:
            told += [_tag(how, one), _run(how, run[start + 1 : end]), run[end].text]
    return "".join(told)


def _pairs(run: Sequence[_Token]) -> dict[int, int]:
    """Which inline tag is closed by which, both ways."""
    opened: list[int] = []
    found: dict[int, int] = {}
    for at, token in enumerate(run):
        if token.sort != "tag":
            continue
        if not token.closes:
            opened.append(at)
        elif opened and run[opened[-1]].name == token.name:
            found[opened[-1]] = at
            found[at] = opened.pop()
    return found


def _message(how: _How, run: Sequence[_Token]) -> str:
    """One message: its text with gaps, asked for, and put back with what stands in the gaps."""
    gaps: dict[str, str] = {}
    names: dict[str, str] = {}
    text = []
    pairs = _pairs(run)
    closing: dict[int, str] = {}
    for at, token in enumerate(run):
        if token.sort == "text":
            text.append(token.text)
        elif token.sort == "tag" and token.closes:
            text.append(closing[at])
            gaps[closing[at]] = token.text
        elif token.sort == "tag":
            name = _free(token.name, [gap[1:-1] for gap in gaps])
            gaps[f"<{name}>"] = _tag(how, token)
            closing[pairs[at]] = f"</{name}>"
            text.append(f"<{name}>")
        else:
            if token.text not in names:
                names[token.text] = f"{{{_free(_gap(token), [gap[1:-1] for gap in gaps])}}}"
                gaps[names[token.text]] = _block(how, token)
            text.append(names[token.text])
    whole = "".join(text)
    message = " ".join(whole.split())
    said = how.say(message, _line(how.source, run[0].start + len(whole) - len(whole.lstrip())))
    if said == message:
        said = whole.strip()
    before, after = whole[: len(whole) - len(whole.lstrip())], whole[len(whole.rstrip()) :]
    return (
        before
        + re.sub(r"\{[^{}]*\}|</?\w+>", lambda found: gaps.get(found.group(0), found.group(0)), said)
        + after
    )


def _gap(token: _Token) -> str:
    """A short name for a value: its last word; the end of an English plural is s."""
    if "|pluralize" in token.name:
        return "s"
    first = token.name.split("|")[0]
    if token.sort == "block":
        words = token.text[2:-2].split()
        first = words[1] if len(words) > 1 else words[0]
    last = [part for part in re.findall(r"[A-Za-z_]\w*", first.split("|")[0]) if part]
    return last[-1].lower() if last else "value"


def _free(name: str, taken: Sequence[str]) -> str:
    count, free = 1, name
    while free in taken:
        count += 1
        free = f"{name}{count}"
    return free
