"""Forms filled in as nobody thought of: every form of every page, its fields full of what breaks programs; no fault of ours comes back."""

import os
import random
import re
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import quote_from_bytes

import pytest
from django.test import Client
from django.urls import reverse

from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests.bench.conftest import Cast
from tests.bench.pages import ACTS, MORE, PAGES, filled
from tests.story import NOW, STEM

pytestmark = pytest.mark.django_db
# Of each form; `make fuzz-requests` fills them in a hundred times.
TIMES = int(os.environ.get("PINCHBOLT_FORMS", "1"))
SEED = int(os.environ.get("PINCHBOLT_SEED", "20261128"))
# Nothing, null bytes, half a character, no UTF-8, numbers that are none, too long, other scripts, markup, SQL, paths, line breaks, JSON.
NASTY = [
    b"", b"\x00", b"a\x00b", b"\xed\xa0\x80", b"\xff\xfe", b"\xc3(", b"NaN", b"-inf", b"1e400", b"-0.0", b"9" * 400, b"-1", b"0",
    b"9223372036854775808", b"1,5", b"1.000.000", b"x" * 5000, b" ", b"\xe2\x80\xae", "２３".encode(), "王小明".encode(), "🚲".encode() * 40,
    b"<script>alert(1)</script>", b"' OR 1=1 --", b"%s%n{0}{x}", b"../../secret-key", b"a\r\nX-Bad: 1", b"[[[[", b'{"a": {"a": 1}}', b"on",
    b"2026-02-30", b"0001-01-01", b"99999-01-01", b"23:99", b"yes", b"front",
]  # fmt: skip
_FIELD = re.compile(r'<(?:input|select|textarea|button)[^>]*\sname="([^"]+)"')


def forms(cast: Cast, tablet: Client) -> dict[str, set[str]]:
    """Every address that a form of a page is sent to, with the names of its fields; and every act without a form of its own."""
    found: dict[str, set[str]] = {filled(act, cast): set() for act in ACTS}
    for page in (*PAGES, *MORE):
        address = filled(page, cast)
        said = tablet.get(address, follow=True).content.decode(errors="replace")
        for form in re.findall(r"<form.*?</form>", said, re.DOTALL):
            if 'method="post"' in form:
                to = re.search(r'action="([^"]*)"', form)
                found.setdefault(to[1] if to and to[1] else address, set()).update(_FIELD.findall(form))
    return found


def sent(names: set[str], luck: random.Random, mark: str) -> bytes:
    """A body as a browser of an attacker sends it: some fields left out, some twice, and one that the form has not."""
    pairs = [("key", mark.encode() if luck.random() < 0.8 else luck.choice(NASTY))]
    for name in sorted(names - {"csrfmiddlewaretoken", "key"}):
        pairs += [(name, luck.choice(NASTY)) for _ in range(luck.choice((0, 1, 1, 1, 2)))]
    pairs.append(("is_owner", b"yes"))
    return "&".join(
        f"{quote_from_bytes(name.encode())}={quote_from_bytes(value)}" for name, value in pairs
    ).encode()


def test_no_form_however_filled_in_is_a_fault_of_ours(
    cast: Cast, tablet: Client, settings: SimpleNamespace, tmp_path: Path
) -> None:
    """By the owner of the workshop, who may everything: each is taken, led on or refused with a sentence, never a 500."""
    # What is taken as rows of the workshop's own is nobody else's.
    settings.SHOP_TABLES = tmp_path / "tables"
    tablet.force_login(cast.owner, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    tablet.raise_request_exception = False
    add_joint(AddJointRequest(cast.job, STEM), by=cast.story.first, key=cast.story.key(), now=NOW)
    luck, asked, faults = random.Random(SEED), 0, []
    # Whoever signs out, or ends this tablet, asks nothing more; a copy waits for the transaction that the test itself holds.
    told = {
        to: names
        for to, names in forms(cast, tablet).items()
        if to not in ("/sign-out/", "/keeping/everything/", reverse("copy_now"))
    }
    assert len(told) > 100
    for to, names in told.items():
        for number in range(TIMES):
            body = sent(names, luck, f"any-form-{asked:05d}")
            answer = tablet.post(to, body, content_type="application/x-www-form-urlencoded")
            asked += 1
            if answer.status_code >= 500:
                faults.append((to, number, answer.status_code, body[:300]))
    assert not faults, faults[:5]
    assert asked == TIMES * len(told)
