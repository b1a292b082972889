"""The words of a call-back: letter, e-mail, short text; ours, or the shop's own with words in braces."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from urllib.parse import quote

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.shop_words import shop_words

_LETTER = worded(
    "Hello {owner},\n\nit is about your bike: {bike} ({tag}). {why}\n\nIf you like, ring "
    "us{phone} or come by, and we find a day for it.\n\n{shop}"
)
_TEXT = worded("{shop}: {bike} ({tag}). {why} Ring us{phone} for a day.")
_SUBJECT = worded("Your bike at {shop}")
_BRACES = re.compile(r"\{(\w+)\}")
_NO_LETTER = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


@dataclass(frozen=True, slots=True)
class BackWords:
    """What the words in braces stand for."""

    owner: str
    bike: str
    tag: str
    why: str

    def filled(self) -> Mapping[str, str]:
        """By the word in braces."""
        shop = terms()
        phone = worded(" at {phone}", phone=shop.phone) if shop.phone else ""
        return {
            "owner": self.owner,
            "bike": self.bike,
            "tag": self.tag,
            # It stands between two sentences, and is one.
            "why": self.why if self.why.rstrip().endswith((".", "!", "?")) else f"{self.why.rstrip()}.",
            "shop": shop.name,
            "phone": phone,
        }


def said_in(place: str, ours: str, told: BackWords) -> str:
    """Return the shop's words of a place, else ours, with the words in braces filled in; others stay as they are. One line."""
    return " ".join(_filled(place, ours, told).split())


def _filled(place: str, ours: str, told: BackWords) -> str:
    # What is filled in has no lines of its own: a name typed with a line end makes no paragraph.
    known = {name: one_line(words) for name, words in told.filled().items()}
    return _BRACES.sub(lambda found: known.get(found[1], found[0]), shop_words(place) or ours)


def letter_words(told: BackWords) -> str:
    """Return the words of a letter or an e-mail: its paragraphs, with an empty line between two."""
    pieces = _filled("back_letter", _LETTER, told).splitlines()
    return "\n\n".join(line for piece in pieces if (line := " ".join(piece.split())))


def text_words(told: BackWords) -> str:
    """Return the words of a short text."""
    return said_in("back_text", _TEXT, told)


def e_mail(told: BackWords, to: str, since: str, now: datetime, mark: str) -> bytes:
    """Return an e-mail as a file (RFC 5322): its header, the words, and how to say no to the next one.

    Args:
        told: What the words in braces stand for.
        to: The owner's address.
        since: Since when they said yes to it, in words.
        now: Its date.
        mark: What tells it from every other; stands in its Message-ID.

    Raises:
        InputRefused: The workshop has no e-mail address written down, or an address is none.
    """
    shop = terms()
    if not shop.mail:
        raise InputRefused(
            worded(
                "The workshop's own e-mail address is not written down: an e-mail needs one to come "
                "from. Settings, the workshop."
            ),
            {"mail": worded("Write the workshop's e-mail address down first.")},
        )
    letter = EmailMessage(policy=SMTP)
    letter["From"] = _address(shop.name, shop.mail)
    letter["To"] = _address(told.owner, to)
    letter["Subject"] = one_line(said_in("back_subject", _SUBJECT, told))
    letter["Date"] = format_datetime(now)
    letter["Message-ID"] = f"<{mark}@{shop.mail.rpartition('@')[2]}>"
    no = worded("No call-backs, please: {tag}", tag=told.tag)
    letter["List-Unsubscribe"] = f"<mailto:{shop.mail}?subject={quote(no)}>"
    letter["Auto-Submitted"] = "auto-generated"
    foot = worded(
        "You get this because you said yes to it{since}. If you want none any more, answer "
        'with the word NO: "{no}".',
        since=since,
        no=no,
    )
    letter.set_content(f"{letter_words(told)}\n\n{foot}\n", cte="quoted-printable")
    return letter.as_bytes()


def one_line(text: str) -> str:
    """Return a text as one line: no line ends in a header, whatever somebody typed."""
    return " ".join(_NO_LETTER.sub(" ", text).split())


def _address(name: str, mail: str) -> Address:
    """An address of a header; anything in it that would end the header is refused."""
    try:
        if _NO_LETTER.search(mail):
            raise ValueError(worded("a line end"))
        return Address(display_name=one_line(name), addr_spec=mail)
    except (ValueError, IndexError, AttributeError, MessageError):
        sentence = worded(
            '"{one_line}" is no e-mail address. Put it right on the page of its owner.',
            one_line=one_line(mail)[:60],
        )
        raise InputRefused(sentence, {"to": sentence}) from None
