"""Where a screen is, by the name that the address list gives it: no other file of the bench holds an address."""

from collections.abc import Mapping
from functools import lru_cache
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpResponseRedirect
from django.urls import get_script_prefix, get_urlconf, reverse

from pinchbolt.workshop.acts.one_look import once_a_look

# Of fifty bikes in the shop each has a dozen. Own choice.
_KEPT = 4000


def address(screen: str, *, at: str = "", query: Mapping[str, object] | None = None, **gaps: object) -> str:
    """Return the address of a screen; *gaps* fill its gaps, `query` goes behind it, `at` is the place on the page."""
    asked = f"?{urlencode(query)}" if query else ""
    return f"{address_of(screen, **gaps)}{asked}{f'#{at}' if at else ''}"


def address_of(screen: str, **gaps: object) -> str:
    """Return the address of a screen, put together once: some two hundred stand on a day's page."""
    return _put_together(where_pages_are(), screen, *gaps.items())


@once_a_look
def where_pages_are() -> tuple[str, str]:
    """Return the list of addresses in use, and the path behind which they are served."""
    return get_urlconf() or settings.ROOT_URLCONF, get_script_prefix()


@lru_cache(_KEPT)
def _put_together(where: tuple[str, str], screen: str, *gaps: tuple[str, object]) -> str:
    return reverse(screen, where[0], kwargs=dict(gaps))


def see(
    screen: str, *, at: str = "", query: Mapping[str, object] | None = None, **gaps: object
) -> HttpResponseRedirect:
    """Answer after an act: look there. A reload of that page never sends the act again."""
    answer = HttpResponseRedirect(address(screen, at=at, query=query, **gaps))
    answer.status_code = 303
    return answer


def back_to(
    screen: str, *, at: str = "", query: Mapping[str, object] | None = None, **gaps: object
) -> HttpResponseRedirect:
    """Answer after an act: the page again, at the entry that was saved, which the page then knows too."""
    return see(screen, at=at, query={**(query or {}), **({"at": at} if at else {})}, **gaps)
