"""Templates of pages in the language of this process: a page is said once, when it is compiled. In English nothing of this is loaded."""

import json
from functools import cache
from pathlib import Path

from django import template
from django.template import Origin
from django.template.loaders import app_directories, filesystem
from django.utils.safestring import SafeString

from pinchbolt.values.template_words import reworded, script_messages, with_filter
from pinchbolt.values.wording import coded, worded

register = template.Library()
_SCRIPTS = Path(__file__).parent / "static" / "bench"


@register.filter
def said(value: object) -> object:
    """A word of the records as it is shown, alone, in a list, or as the part of an end of the bike; all else stays as it is."""
    if isinstance(value, list | tuple):
        return [said(one) for one in value]
    if not isinstance(value, str) or isinstance(value, SafeString):
        return value
    end, _, part = value.partition(" ")
    if part and end in ("front", "rear"):
        return worded("{end} {part}", end=coded(end), part=coded(part))
    return coded(str(value))


def _said(source: str) -> str:
    told = reworded(source, lambda text, _: worded(text), lambda value: with_filter(value, "said"))
    return told.replace("</head>", f"{_said_by_scripts()}</head>", 1)


@cache
def _said_by_scripts() -> str:
    """What the programs of a page say in this language, by the English text, where keep.js looks for it."""
    english = {
        text
        for script in _SCRIPTS.glob("*.js")
        for _, text in script_messages(script.read_text(encoding="utf-8"))
    }
    told = json.dumps({text: worded(text) for text in sorted(english)}, ensure_ascii=False)
    # A sign of a tag would end the script, one of a template would be read as one.
    safe = told[1:-1].replace("<", "\\u003c").replace("{", "\\u007b").replace("}", "\\u007d")
    return f'<script type="application/json" id="said-here">{{{safe}}}</script>'


class ScreenPages(filesystem.Loader):
    """Pages that lie beside their screens."""

    def get_contents(self, origin: Origin) -> str:
        """Return a template, said."""
        return _said(super().get_contents(origin))


class SharedPages(app_directories.Loader):
    """Pages that all screens share."""

    def get_contents(self, origin: Origin) -> str:
        """Return a template, said."""
        return _said(super().get_contents(origin))
