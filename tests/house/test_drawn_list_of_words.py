"""The list that a translator gets holds every sentence with its place, and keeps what is translated."""

from desk.words import drawn, every_code, every_message
from pinchbolt.values.wording import read_translation
from tests.house.source import ROOT


def test_the_list_holds_sentences_of_every_room_where_they_stand() -> None:
    """Code, pages, sheets, rows of the tables and the help of commands; a place is a line that says it."""
    found = every_message()
    endings = {place.rpartition(":")[0].rpartition(".")[2] for places in found.values() for place in places}
    assert endings == {"py", "html", "js", "typ", "toml"}
    rooms = {place.split("/")[2] for places in found.values() for place in places}
    assert rooms >= {
        "api",
        "bench",
        "cli",
        "drawing",
        "engines",
        "paper",
        "reference",
        "serving",
        "values",
        "workshop",
    }
    for text in ("Not saved: {cause}. {remedy}Try again: nothing is half-written.", "skip to the page"):
        file, _, line = found[text][0].rpartition(":")
        said = (ROOT / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert "worded(" in said or text in said, (text, said)
    assert {"on the rack", "unsafe to ride", "owner of the workshop"} <= set(every_code())


def test_the_list_is_read_as_it_was_written() -> None:
    """Every text comes back letter by letter, so that it is found again."""
    read = list(read_translation(drawn({}, {})))
    assert {one.english for one in read if not one.is_code} == set(every_message())
    assert {one.english for one in read if one.is_code} == set(every_code())


def test_what_is_translated_is_kept_when_the_list_is_drawn_again() -> None:
    """A new release brings new sentences and loses no translation."""
    told = drawn({"skip to the page": "zur Seite"}, {"on the rack": "wartet"})
    kept = {one.english: one.instead for one in read_translation(told) if one.instead}
    assert kept == {"skip to the page": "zur Seite", "on the rack": "wartet"}
