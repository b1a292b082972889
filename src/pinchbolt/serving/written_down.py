"""What is written down of who asked: one line a request, one line a sign-in, in files of the home folder that are kept in size.

No line holds a secret or what somebody typed: no question behind an address (it may hold an owner's name), no form, no cookie, no
token, no mark of a calendar's address. A wrong try is written with its name only where somebody of that name works here: people type
passphrases into the wrong field.
"""

import json
import logging
import re
import secrets
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth import get_user_model
from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone

from pinchbolt.serving.home import home_folder
from pinchbolt.serving.request_guard import is_json_door
from pinchbolt.values.wording import worded

Answer = Callable[[HttpRequest], HttpResponseBase]
_ACCESS, _SIGN_INS = logging.getLogger("pinchbolt.access"), logging.getLogger("pinchbolt.sign-ins")
_SHOWN = 40
_UNPRINTED = re.compile(r"[^\x21-\x7e]")


class WrittenDown:
    """Gives each request a mark, says it in the answer, and writes a line when it is answered."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer, then write the line."""
        mark, began = secrets.token_hex(6), time.perf_counter()
        response = self.get_response(request)
        response.headers["X-Request-ID"] = mark
        _ACCESS.info(
            "%s %s %s %s %s %d %d ms",
            mark,
            request.META.get("REMOTE_ADDR", "-"),
            _who(request),
            request.method,
            _UNPRINTED.sub("?", _path(request))[:200],
            response.status_code,
            (time.perf_counter() - began) * 1000,
        )
        return response


def _path(request: HttpRequest) -> str:
    """The address; without the mark that opens it, where it has one (a calendar's)."""
    match = request.resolver_match
    mark = match.kwargs.get("mark") if match else None
    return request.path.replace(str(mark), "...") if mark else request.path


def _who(request: HttpRequest) -> object:
    """Number of whoever was found to ask, by cookie or token. Nobody is looked up for it: the records may be away."""
    found = getattr(request, "_cached_user", None) or getattr(request, "auth", None)
    return getattr(found, "pk", None) or "-"


@receiver(user_logged_in)
def signed_in(request: HttpRequest | None, user: object, **_: object) -> None:
    """Write a sign-in down."""
    door = worded(" at the JSON door") if request is not None and is_json_door(request) else ""
    _write(request, str(getattr(user, "sign_in", "")), worded("signed in{door}", door=door))


@receiver(user_login_failed)
def not_signed_in(credentials: dict[str, object], request: HttpRequest | None = None, **_: object) -> None:
    """Write a wrong try down."""
    typed = str(credentials.get("username", ""))[:40].lower()
    known = get_user_model()._default_manager.filter(sign_in=typed, is_active=True).exists()
    locked = bool(getattr(request, "axes_locked_out", False))
    how = "locked" if locked else worded("wrong PIN") if "pin" in credentials else worded("wrong passphrase")
    _write(request, typed if known else "", how)


def _write(request: HttpRequest | None, who: str, what: str) -> None:
    told = {
        "at": timezone.now().isoformat(timespec="seconds"),
        "who": who,
        "what": what,
        "from": request.META.get("REMOTE_ADDR", "") if request is not None else "",
    }
    _SIGN_INS.info("%s", json.dumps(told))


@dataclass(frozen=True, slots=True)
class SignInSeen:
    """A sign-in or a wrong try; `who` is empty for a name that nobody here has."""

    at: datetime
    who: str
    what: str
    origin: str


def newest_sign_ins() -> Sequence[SignInSeen]:
    """Return the newest sign-ins and wrong tries, the newest first."""
    file = home_folder() / "logs" / "sign-ins.log"
    try:
        lines = file.read_text(encoding="utf-8").splitlines()[-_SHOWN:]
    except OSError:
        return ()
    found = []
    for line in reversed(lines):
        try:
            told = json.loads(line)
            found.append(
                SignInSeen(datetime.fromisoformat(told["at"]), told["who"], told["what"], told["from"])
            )
        except (ValueError, KeyError):
            # Half a line, where power went.
            continue
    return tuple(found)
