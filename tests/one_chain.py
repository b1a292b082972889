"""Every browser of a test goes through one chain of middleware: to build it anew for each reads all files that are served."""

from django.conf import settings
from django.core.handlers.base import BaseHandler
from django.test.client import ClientHandler

_chains: dict[str, object] = {}
_build = BaseHandler.load_middleware


def _built_once(handler: ClientHandler, is_async: bool = False) -> None:
    """Take the chain that was built; where a test has settings of its own, build one for it."""
    own = is_async or type(settings._wrapped).__name__ == "UserSettingsHolder"
    if own or "chain" not in _chains:
        _build(handler, is_async)
        if not own:
            _chains["chain"] = handler._middleware_chain
    else:
        handler._middleware_chain = _chains["chain"]


def share_the_chain() -> None:
    """Let all browsers of this process share it."""
    ClientHandler.load_middleware = _built_once


def forget_the_chain() -> None:
    """Let the next browser build one: what a chain remembers of the workshop is forgotten."""
    _chains.clear()
