"""E-mail files against the standards: RFC 5322 (header, line ends, line length), RFC 2047 and 2369, and no header injected."""

from datetime import UTC, datetime
from email import message_from_bytes, policy
from types import SimpleNamespace

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.asking_back import _back_words as back_words
from pinchbolt.workshop.asking_back._back_words import BackWords, e_mail, one_line

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
TOLD = BackWords("Zoë Ångström", "blue road bike, Gr. 56", "PB-7", "The chain should be read again.")


@pytest.fixture
def shop(monkeypatch):
    """An invented workshop without records."""
    here = SimpleNamespace(
        name="Räder & Söhne", phone="01632 960 001", mail="bench@workshop.example", words={}
    )
    monkeypatch.setattr(back_words, "terms", lambda: here)
    monkeypatch.setattr(back_words, "shop_words", lambda place: here.words.get(place, ""))
    return here


def header_names(data):
    """The names of the header's fields, by the lines themselves."""
    head = data.split(b"\r\n\r\n", 1)[0]
    return [line.partition(b":")[0].decode() for line in head.split(b"\r\n") if not line[:1].isspace()]


USUAL = ["From", "To", "Subject", "Date", "Message-ID", "List-Unsubscribe", "Auto-Submitted"]


def test_read_back_it_says_what_was_written(shop):
    """Names and words beyond ASCII come back whole (RFC 2047), with the way to say no (RFC 2369)."""
    data = e_mail(TOLD, "zoe@owner.example", " on 3 May 2026", NOW, "letter-1")
    read = message_from_bytes(data, policy=policy.default)
    assert read["From"].addresses[0].display_name == "Räder & Söhne"
    assert (read["To"].addresses[0].display_name, read["To"].addresses[0].addr_spec) == (
        "Zoë Ångström",
        "zoe@owner.example",
    )
    assert read["Subject"] == "Your bike at Räder & Söhne"
    assert "The chain should be read again." in " ".join(read.get_content().split())
    assert read["List-Unsubscribe"].strip().startswith("<mailto:bench@workshop.example?subject=")
    assert read["Date"].datetime == NOW
    assert not read.defects


def test_lines_end_as_the_standard_says_and_are_no_longer_than_it_allows(shop):
    """RFC 5322, 2.1.1: CR LF together, 78 characters at best and 998 at most; 2.2: the header is ASCII."""
    shop.words["back_letter"] = "{owner} " + "word " * 170
    data = e_mail(TOLD, "zoe@owner.example", "", NOW, "letter-1")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert b"\r" not in data.replace(b"\r\n", b"")
    assert max(len(line) for line in data.split(b"\r\n")) <= 78
    data.split(b"\r\n\r\n")[0].decode("ascii")


# RFC 5322, 3.2.2: a line end in a value would begin a field of its own.
ENDS = ["\r\n", "\n", "\r", "\r\n ", "\x0b", "\x0c", "\x85", "\u2028", "\u2029", "\x00"]


@pytest.mark.parametrize("end", ENDS, ids=[repr(one) for one in ENDS])
@pytest.mark.parametrize("where", ("owner", "bike", "why", "shop", "subject", "letter"))
def test_no_field_is_put_in_by_what_somebody_typed(shop, end, where):
    """A name, a bike, a reason or the shop's own words with a line end in them: the header has the usual fields and no other."""
    evil = f"Ada{end}Bcc: everybody@elsewhere.example{end}{end}body"
    told = {"owner": "Ada", "bike": "bike", "tag": "PB-7", "why": "why"}
    if where in told:
        told[where] = evil
    elif where == "shop":
        shop.name = evil
    else:
        shop.words[f"back_{where}"] = evil
    data = e_mail(BackWords(**told), "ada@owner.example", "", NOW, "letter-1")
    assert header_names(data)[: len(USUAL)] == USUAL
    read = message_from_bytes(data, policy=policy.default)
    assert read["Bcc"] is None
    assert len(read["To"].addresses) == 1


@pytest.mark.parametrize(
    "address",
    [
        "ada@owner.example\r\nBcc: all@elsewhere.example",
        "ada@owner.example\nX: y",
        "ada@owner.example, bo@owner.example",
        "nobody",
        "",
        "@owner.example",
        "ada@",
    ],
)
def test_an_address_that_is_none_is_refused(shop, address):
    """With what to do; nothing is written."""
    with pytest.raises(InputRefused, match="no e-mail address"):
        e_mail(TOLD, address, "", NOW, "letter-1")


def test_without_an_address_of_the_workshop_there_is_no_e_mail(shop):
    """RFC 5322, 3.6: From is needed."""
    shop.mail = ""
    with pytest.raises(InputRefused, match="not written down"):
        e_mail(TOLD, "zoe@owner.example", "", NOW, "letter-1")


def test_one_line_is_one_line():
    """Whatever ends a line becomes one blank."""
    assert one_line("a\r\n b\u2028c\x00d") == "a b c d"
