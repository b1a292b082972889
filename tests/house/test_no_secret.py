"""Nobody's words to sign in stand in what is published, and a new home has nobody in it."""

import re
from pathlib import Path

import pytest

from pinchbolt.records.models import Person, Workshop
from pinchbolt.workshop.acts.open_workshop import is_open
from pinchbolt.workshop.acts.passphrases import made_passphrase, made_pin

ROOT = Path(__file__).resolve().parents[2]
READ = (".py", ".md", ".toml", ".html", ".js", ".csv", ".txt", ".json")
# A word to sign in that is written down: named, then one word or a few in quotes. A whole sentence is a message of ours.
WRITTEN = re.compile(
    r"""\b(?:pass(?:phrase|word)s?|pins?|secrets?|tokens?)\b["']?\s*[:=]\s*["']([^"'{}<>\n.]{4,60})["']""",
    re.I,
)


def published() -> list[Path]:
    """Every text that a shop gets: source, tables, pages and docs."""
    roots = [ROOT / "src", ROOT / "docs"]
    found = [path for root in roots for path in root.rglob("*") if path.suffix in READ]
    return [*found, ROOT / "README.md", ROOT / "CHANGELOG.md", ROOT / "launch.py", ROOT / "Makefile"]


def test_no_passphrase_and_no_pin_stands_in_source_or_docs() -> None:
    """The invented workshop's too are made by chance when it is loaded."""
    texts = published()
    assert len(texts) > 800
    told = [
        f"{path.relative_to(ROOT)}: {found.group(0)}"
        for path in texts
        for found in WRITTEN.finditer(path.read_text(encoding="utf-8"))
    ]
    assert told == []
    assert WRITTEN.search('passphrase="four plain words here"') and WRITTEN.search("'pin': '2846'")


def test_made_words_are_others_each_time() -> None:
    """Twenty of each, none twice; a PIN of four figures may come again by chance, twenty alike may not."""
    assert len({made_passphrase() for _ in range(20)}) == 20
    assert len({made_pin() for _ in range(20)}) > 10


@pytest.mark.django_db
def test_a_new_home_has_nobody_in_it() -> None:
    """After all migrations there is no workshop and no account: whoever comes first opens it."""
    assert not Person.objects.exists() and not Workshop.objects.exists() and not is_open()
