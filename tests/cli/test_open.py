"""Opening a workshop on the command line: all of it or nothing, every wrong word in a sentence."""

from pathlib import Path

import pytest

from pinchbolt.records.models import Person, Workshop
from tests.cli.conftest import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
def words(tmp_path: Path) -> list[str]:
    """A whole command."""
    file = tmp_path / "words"
    file.write_text("four plain words here\n", encoding="utf-8")
    told = ["--name", "Tollgate Bench", "--person", "Rosa Tindle", "--labour", "54,50"]
    return ["open", *told, "--passphrase-file", str(file)]


def test_a_workshop_is_opened_and_says_what_is_next(run: Run, words: list[str]) -> None:
    """Usual days and tax of the country; the passphrase stands nowhere in the answer."""
    ran = run(*words, "--country", "de", "--town", "Winterby")
    shop, person = Workshop.objects.get(), Person.objects.get()
    assert ran.code == 0 and "Rosa Tindle signs in as rosa" in ran.out and "four plain" not in ran.out
    assert (shop.currency, shop.tax_percent, str(shop.labour_an_hour)) == ("EUR", 19, "54.50")
    assert set(shop.open_days) == {"Tue", "Wed", "Thu", "Fri", "Sat"}
    assert person.check_password("four plain words here")
    again = run(*words)
    assert again.code == 2 and "opened already by Rosa Tindle" in again.err


def test_open_days_are_read_as_people_write_them(run: Run, words: list[str]) -> None:
    """A run of days, a single one, hours with one figure."""
    assert (
        run(*words, "--days", "mon-wed 8:30-12:00, Saturday 9:00-13:00", "--json").json["sign_in"] == "rosa"
    )
    days = Workshop.objects.get().open_days
    assert days["Mon"] == days["Wed"] == ["08:30", "12:00"] and days["Sat"] == ["09:00", "13:00"]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--labour", "much"], 'Labour an hour is "much": a sum such as 54'),
        (["--country", "US"], "There is no one usual rate of tax there"),
        (["--tax", "a lot"], 'The tax is "a lot"'),
        (["--tax", "200"], "0 to 35 per cent"),
        (["--days", "someday 9-17"], 'The open days say "someday 9-17"'),
        (["--days", "Tue 17:30-9:00"], "closes before it opens"),
        (["--country", "XX", "--tax", "none"], "is not on the list"),
        (["--passphrase-file", "nowhere"], 'The passphrase file "nowhere" can\'t be read'),
    ],
)
def test_a_wrong_word_is_refused_in_a_sentence_and_nothing_is_opened(
    run: Run, words: list[str], more: list[str], sentence: str
) -> None:
    """Exit code 2, one line, no workshop."""
    ran = run(*words, *more)
    assert ran.code == 2 and sentence in ran.err and "\n" not in ran.err
    assert not Workshop.objects.exists() and not Person.objects.exists()
