"""Templates of pages in the language of this process: a page is said once, when it is compiled. In English nothing of this is loaded."""

from django import template
from django.template import Origin
from django.template.loaders import app_directories, filesystem
from django.utils.safestring import SafeString

from pinchbolt.values.template_words import reworded, with_filter
from pinchbolt.values.wording import coded, worded

register = template.Library()


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
    return reworded(source, lambda text, _: worded(text), lambda value: with_filter(value, "said"))


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
