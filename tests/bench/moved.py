"""The same screens somewhere else: every word of every address is another one, as if both lists had been rewritten."""

from typing import Any

from django.urls import URLResolver, include, path

from pinchbolt.serving import urls
from pinchbolt.serving.urls import handler400, handler403, handler404, handler500

__all__ = ["handler400", "handler403", "handler404", "handler500", "urlpatterns"]


def moved_route(route: str) -> str:
    """An address with "AT-" before each of its words; gaps stay, and the root gets a word."""
    words = (word if not word or word.startswith("<") else f"AT-{word}" for word in route.split("/"))
    return "/".join(words) or "AT-HOME/"


def _moved(patterns: list[Any]) -> list[Any]:
    return [
        path(moved_route(str(one.pattern)), include(_moved(one.url_patterns)))
        if isinstance(one, URLResolver)
        else path(moved_route(str(one.pattern)), one.callback, name=one.name)
        for one in patterns
    ]


_door, _bench = urls.urlpatterns
assert isinstance(_door, URLResolver) and isinstance(_bench, URLResolver)
urlpatterns = [
    path("AT-DOOR/", (_door.url_patterns, _door.app_name, _door.namespace)),
    path("", include(_moved(_bench.url_patterns))),
]
