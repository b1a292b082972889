"""Files of parts as spreadsheets and suppliers write them: every line is a part, or is refused with its reason."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.parts.parts_file import parts_of, text_of_bytes

HEAD = "number,kind,words,price,count\n"


def told(text: str, **columns: str) -> tuple[list[tuple[str, str]], dict[int, str]]:
    """Parts by number and price, and refused lines with why."""
    read = parts_of(text, columns)
    return [(part.number, str(part.price)) for part in read.parts], {
        one.line: next(iter(one.why.values())) for one in read.refused
    }


@pytest.mark.parametrize("closed", [True, False])
def test_a_stray_quote_swallows_no_line(closed: bool) -> None:
    """A2's quote runs to A3's or to the end: its record is refused by its lines, A3 and A4 keep their own prices."""
    end = '"' if closed else ""
    text = f'{HEAD}A1,cassette,one,12.00,1\nA2,cassette,"two,45.00,1\nA3,cassette,three{end},45.50,1\nA4,cassette,four,9.00,2\n'
    parts, refused = told(text)
    assert parts == [("A1", "12.00"), ("A3", "45.50"), ("A4", "9.00")]
    assert list(refused) == [3] and "lines 3 to" in refused[3] and "stray quote" in refused[3]


def test_a_cell_of_two_lines_is_a_cell() -> None:
    """Quoted, closed, and without the divider in it."""
    assert told(f'{HEAD}A1,cassette,"one\nin black",12.00,1\nA2,tyre,"28, black",9.00,1\n') == (
        [("A1", "12.00"), ("A2", "9.00")],
        {},
    )


def test_fifty_thousand_parts_are_read_and_one_more_is_said() -> None:
    """A wholesaler's whole list, each line by itself."""
    lines = [f"A{number},cassette,one {number},12.00,1" for number in range(50_001)]
    assert len(parts_of(HEAD + "\n".join(lines[:-1])).parts) == 50_000
    with pytest.raises(InputRefused, match="more than 50,000 parts"):
        parts_of(HEAD + "\n".join(lines))


def test_latin_letters_a_sep_line_a_title_and_commas_in_the_header() -> None:
    """As spreadsheets save them."""
    latin = text_of_bytes("number;kind;words;price\nA1;tyre;für Straße;12,50\n".encode("latin-1"))
    assert parts_of(latin).parts[0].words == "für Straße"
    assert told("sep=;\nnumber;kind;words;price\nA1;tyre;x;12,50\n")[0] == [("A1", "12.50")]
    assert told(
        "Price list of spring\n\nnumber;kind;words, long, and more;price\nA1;tyre;x;12,50\n",
        words="words, long, and more",
    )[0]
    assert told("Prices, spring, all\nnumber,kind,words,price\nA1,tyre,x,12.50\n")[0] == [("A1", "12.50")]


def test_a_line_separator_or_form_feed_in_a_cell_ends_no_record() -> None:
    """Only what ends a line in a file ends one."""
    read = parts_of(f"{HEAD}A1,tyre,one\u2028two\x0bthree\x85four,12.50,1\n")
    assert len(read.parts) == 1 and not read.refused


@pytest.mark.parametrize(
    ("cell", "price"),
    [
        ("EUR 12,50", "12.50"),
        ("12,50 EUR", "12.50"),
        ("GBP1,234.50", "1234.50"),
        ("12.-", "12.00"),
        ("1'234.50", "1234.50"),
        ("£ 9", "9.00"),
    ],
)
def test_a_price_is_read_as_it_is_printed(cell: str, price: str) -> None:
    """With its currency before or behind."""
    assert told(f'number;kind;words;price\nA1;tyre;x;"{cell}"\n')[0] == [("A1", price)]


@pytest.mark.parametrize("cell", ["1e3", "on request", "-4", "12.505", "1.2.3", "NaN", "EUR"])
def test_what_is_no_price_is_refused_by_its_line(cell: str) -> None:
    """1e3 is no thousand on a price list."""
    parts, refused = told(f'number;kind;words;price\nA1;tyre;x;"{cell}"\nA2;tyre;y;3\n')
    assert parts == [("A2", "3.00")] and cell in refused[2]


def test_ten_and_more_are_ten() -> None:
    """Of a supplier's >10 ten are certain."""
    read = parts_of(f"{HEAD}A1,tyre,x,1,>10\nA2,tyre,x,1,10+\nA3,tyre,x,1,some\n")
    assert [part.count for part in read.parts] == [10, 10] and read.refused[0].line == 4


def test_no_file_is_read_in_time_that_grows_with_its_square() -> None:
    """Quotes that nobody closes, on every line."""
    read = parts_of(HEAD + "\n".join(f'A{number},tyre,"x {number},1,1' for number in range(8_001)))
    assert len(read.parts) + len(read.refused) == 8_001
