"""Where a screen is, by the name that the address list gives it: no other file of the bench holds an address."""

from collections.abc import Mapping
from urllib.parse import urlencode

from django.http import HttpResponseRedirect
from django.urls import reverse


def address(screen: str, *, at: str = "", query: Mapping[str, object] | None = None, **gaps: object) -> str:
    """Return the address of a screen; *gaps* fill its gaps, `query` goes behind it, `at` is the place on the page."""
    asked = f"?{urlencode(query)}" if query else ""
    return f"{reverse(screen, kwargs=gaps)}{asked}{f'#{at}' if at else ''}"


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
