"""Templates of pages in the language of this process: a page is said once, when it is compiled. In English nothing of this is loaded."""

from django.template import Origin
from django.template.loaders import app_directories, filesystem

from pinchbolt.values.template_words import reworded
from pinchbolt.values.wording import worded


def _said(source: str) -> str:
    return reworded(source, lambda text, _: worded(text))


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
