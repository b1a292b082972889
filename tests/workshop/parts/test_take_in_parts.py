"""A file of parts: columns laid on our names, lines refused with their reason, whole or the good ones."""

from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotAllowed
from pinchbolt.records.models import BinPart, Event, Part, Person
from pinchbolt.workshop.bikes.typed_facts import FactsRequest, note_facts, parse_fact
from pinchbolt.workshop.parts.parts_file import parts_of
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, bins, take_in_parts, try_parts
from tests import story
from tests.story import NOW, PASSPHRASE, Story

GOOD = """number,kind,words,price,count,bin,cassette,sprocket_big,sprocket_small
C-11,cassette,11-speed 11-32,65.00,2,B4,c11-road,32,11
C-12,cassette,12-speed 10-44,"1,120.50",,,c12-ms,44,10
S-1,small part,spacer 1.85 mm,3,20,B1,,,
"""
THEIRS = """Art. no;What;Sort;RRP;Type;Colour
A1;wide cassette;cassette;65,50;c11-road;black
A2;odd cassette;cassette;cheap;c14;black
A1;again;cassette;12;c9;grey
"""
COLUMNS = {"number": "Art. no", "words": "What", "kind": "Sort", "price": "RRP", "cassette": "Type"}


def test_columns_of_our_names_need_no_saying(arrived: Story) -> None:
    """Facts come with their types, money to the penny, an empty cell is not known."""
    taken = take_in_parts(PartsRequest(GOOD), by=arrived.first, key="parts-0001", now=NOW)
    assert (taken.new, taken.put_right, taken.written) == (3, 0, True)
    eleven, twelve, spacer = (BinPart.objects.get(number=number) for number in ("C-11", "C-12", "S-1"))
    assert eleven.facts == {"cassette": "c11-road", "sprocket_big": 32, "sprocket_small": 11}
    assert (eleven.count, eleven.bin, twelve.count) == (2, "B4", 0)
    assert twelve.price == Decimal("1120.50") and spacer.facts == {}
    assert [one.number for one in bins("cassette")] == ["C-11", "C-12"]


def test_the_same_file_again_changes_nothing_and_a_new_price_is_put_right(arrived: Story) -> None:
    """A number is one part."""
    for key in ("parts-0001", "parts-0002"):
        taken = take_in_parts(PartsRequest(GOOD), by=arrived.first, key=key, now=NOW)
    assert (taken.new, taken.put_right, taken.as_it_was) == (0, 0, 3)
    cheaper = GOOD.replace("65.00", "59.00")
    assert take_in_parts(PartsRequest(cheaper), by=arrived.first, key="parts-0003", now=NOW).put_right == 1
    assert BinPart.objects.get(number="C-11").price == 59


def test_one_bad_line_refuses_the_whole_file_and_names_every_bad_one(arrived: Story) -> None:
    """Nothing is written; each fault of each line has its sentence."""
    with pytest.raises(
        InputRefused, match=r"2 of 3 lines can't be read \(lines 3, 4\), so nothing was taken in"
    ) as no:
        take_in_parts(PartsRequest(THEIRS, COLUMNS), by=arrived.first, key="parts-0001", now=NOW)
    assert set(no.value.errors) == {"line 3, price", "line 3, cassette", "line 4, number"}
    assert 'price is "cheap": an amount such as' in no.value.errors["line 3, price"]
    assert 'cassette is "c14": c7, c8' in no.value.errors["line 3, cassette"]
    assert "stands in line 2 already" in no.value.errors["line 4, number"]
    assert BinPart.objects.count() == 0 and not Event.objects.filter(kind="parts taken in").exists()


def test_the_good_lines_alone_are_taken_where_that_is_asked(arrived: Story) -> None:
    """The refused ones are told, the columns that nobody asked for too."""
    asked = PartsRequest(THEIRS, COLUMNS, keep_good=True)
    assert "nothing is written yet" in try_parts(asked).words and BinPart.objects.count() == 0
    taken = take_in_parts(asked, by=arrived.first, key="parts-0001", now=NOW)
    assert (taken.new, [one.line for one in taken.refused], taken.unused) == (1, [3, 4], ("Colour",))
    part = BinPart.objects.get()
    assert (part.number, part.price, part.facts) == ("A1", Decimal("65.50"), {"cassette": "c11-road"})
    said = Event.objects.get(kind="parts taken in").said
    assert said == {"new": 1, "put_right": 0, "refused": 2}, "the file itself is not kept"


def test_a_request_that_comes_twice_is_one_act(arrived: Story) -> None:
    """Same mark, same file: one event, one part each."""
    for _ in range(2):
        take_in_parts(PartsRequest(GOOD), by=arrived.first, key="parts-0001", now=NOW)
    assert Event.objects.filter(kind="parts taken in").count() == 1
    assert BinPart.objects.count() == 3


def test_a_file_never_writes_over_a_used_part(arrived: Story) -> None:
    """A used chain lies in the bins as USED-7: a supplier's line of that number is refused by line, and the chain stays."""
    chain = Part.objects.create(kind="chain")
    used = BinPart.objects.create(
        number="USED-7", kind="chain", words="chain, used", price=Decimal("5"), count=1, used_part=chain
    )
    text = f"{GOOD.rstrip()}\n"
    header = text.splitlines()[0].split(",")
    cells = {"number": "USED-7", "kind": "cassette", "words": "new one", "price": "40", "count": "12"}
    text += ",".join(cells.get(name, "") for name in header) + "\n"
    with pytest.raises(InputRefused, match='"USED-7" is a used part'):
        take_in_parts(PartsRequest(text), by=arrived.first, key="parts-0001", now=NOW)
    taken = take_in_parts(PartsRequest(text, keep_good=True), by=arrived.first, key="parts-0002", now=NOW)
    assert [one.number for one in taken.refused] == ["USED-7"] and taken.new == 3
    used.refresh_from_db()
    assert (used.kind, used.count, used.used_part) == ("chain", 1, chain)


def test_bins_are_a_mechanics_affair(arrived: Story) -> None:
    """The counter looks and does not change them."""
    juno = Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE)
    with pytest.raises(NotAllowed, match="at the counter"):
        take_in_parts(PartsRequest(GOOD), by=juno.pk, key="parts-0001", now=NOW)


@pytest.mark.parametrize(
    ("text", "columns", "sentence"),
    [
        ("", {}, "The file is empty"),
        ("number,number\n1,2\n", {}, '"number" is there twice'),
        ("number,words\n1,x\n", {}, "No column gives kind and price"),
        (GOOD, {"colour": "bin"}, '"colour" is no column of ours'),
        (GOOD, {"price": "RRP"}, 'has no column "RRP"'),
        ('number,kind,words,price\n1,chain,"x,3\n', {}, "lines can't be read|cannot be read"),
    ],
)
@pytest.mark.django_db
def test_a_file_that_is_none_is_refused(
    text: str, columns: dict[str, str], sentence: str, arrived: Story
) -> None:
    """What is wrong, and what is needed."""
    with pytest.raises(InputRefused, match=sentence):
        take_in_parts(PartsRequest(text, columns), by=arrived.first, key="parts-0001", now=NOW)


@pytest.mark.parametrize(
    ("cell", "amount"),
    [
        ("45", "45"),
        ("45.5", "45.50"),
        ("45,5", "45.50"),
        ("£1,234.50", "1234.50"),
        ("1.234,50", "1234.50"),
        ("1,234", "1234"),
    ],
)
@pytest.mark.django_db
def test_money_is_read_as_it_is_written(cell: str, amount: str) -> None:
    """Point or comma, thousands set apart, with or without its sign."""
    read = parts_of(f'number;kind;words;price\n1;chain;x;"{cell}"\n')
    assert read.parts[0].price == Decimal(amount)


@pytest.mark.parametrize("cell", ["-1", "", "nan", "1e9", "1.005", "12.50.1", "free"])
@pytest.mark.django_db
def test_money_of_no_sense_is_refused_with_its_line(cell: str) -> None:
    """Never nothing in silence."""
    read = parts_of(f'number;kind;words;price\n1;chain;x;"{cell}"\n')
    assert (read.parts, read.refused[0].line, list(read.refused[0].why)) == ((), 2, ["price"])


@pytest.mark.parametrize(
    ("name", "told", "value"),
    [
        ("seat_tube", "27,2", 27.2),
        ("sprocket_big", "44", 44),
        ("hook", "yes", True),
        ("cassette", "c9", "c9"),
        ("crown_race", 40, "40"),
        ("tyre_rear", "28-622", "28-622"),
        ("sprockets", "11/13/15", "11 13 15"),
        ("seat_tube", "cannot tell", None),
        ("shift", "pull-classic", "pull-classic"),
    ],
)
@pytest.mark.django_db
def test_a_fact_is_taken_as_its_rule_takes_it(name: str, told: object, value: object) -> None:
    """Figures as figures, yes and no, words of the table, teeth one by one."""
    assert parse_fact(name, told) == value


@pytest.mark.parametrize(
    ("name", "told", "sentence"),
    [
        ("seat_tube", "272", "20 to 50 mm"),
        ("seat_tube", True, "20 to 50 mm"),
        ("sprocket_big", "33.5", "a whole number"),
        ("hook", "maybe", "yes or no"),
        ("cassette", "c14", "c7, c8"),
        ("tyre_rear", "700C", "two figures in mm"),
        ("sprockets", "many", "counts of teeth"),
        ("seat_tubes", "27.2", "such as seat_tube"),
        ("shift", "pull-odd", "pull-classic"),
    ],
)
@pytest.mark.django_db
def test_a_fact_of_no_sense_is_refused_by_its_name(name: str, told: object, sentence: str) -> None:
    """With what is allowed."""
    with pytest.raises(InputRefused, match=sentence) as no:
        parse_fact(name, told)
    assert name in no.value.errors or "marking" in no.value.errors


def test_a_fact_read_off_a_bike_stands_on_its_build_sheet(arrived: Story) -> None:
    """Written with who and when; an empty one is taken off again; a bad one writes nothing."""
    bike = arrived.record.bike
    before = story.known(bike.tag)
    note_facts(FactsRequest(bike.tag, {"seat_tube": "27.2"}), by=arrived.first, key="fact-0001", now=NOW)
    assert story.known(bike.tag)["seat_tube"] == 27.2
    with pytest.raises(InputRefused, match="20 to 50 mm"):
        note_facts(
            FactsRequest(bike.tag, {"hanger": "fixed", "seat_tube": 3}),
            by=arrived.first,
            key="fact-0002",
            now=NOW,
        )
    note_facts(FactsRequest(bike.tag, {"seat_tube": None}), by=arrived.first, key="fact-0003", now=NOW)
    after = story.known(bike.tag)
    assert "seat_tube" not in after and after == before
    assert Event.objects.filter(kind="facts read", bike=bike).count() == 2
