"""A list of owners and bikes from elsewhere: its columns guessed, its rows proved, taken in whole and taken back."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from pinchbolt.errors import InputRefused, NotAllowed
from pinchbolt.records.models import Bike, Consent, EarlierTag, Event, Owner, Peg, Person, Trainer
from pinchbolt.workshop.keeping.list_columns import guessed_columns, kind_told
from pinchbolt.workshop.keeping.list_read import DAY_FIRST, lay_rows, read_list
from pinchbolt.workshop.keeping.list_take import (
    ListBackRequest,
    ListRequest,
    columns_before,
    take_list,
    take_list_back,
    try_list,
)
from pinchbolt.workshop.owners.find import find_bikes
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests.story import NOW, PASSPHRASE, open_shop

pytestmark = pytest.mark.django_db
Act = Callable[[], dict[str, object]]
LIST = (
    "Name;Mobile;E-mail;Bike;Frame;Notes;Last visit;Newsletter\r\n"
    "Ada Fenwick;07700 900118;ada@fenwick.example;steel tourer green;G4471;pays cash;12/03/2026;yes\r\n"
    "Ada Fenwick;07700 900118;;city e-bike;;;25/11/2025;yes\r\n"
    "Zoë Müller;+44 7700 900442;;gravel bike;WTU0927;;;no\r\n"
    ";;;road bike;X1;;;\r\n"
    "Jonas Fen;01632 960001;;;;;;\r\n"
)


@pytest.fixture
def mark() -> Act:
    """Gives each act of the owner of the workshop a mark of its own."""
    open_shop()
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    count = iter(range(1000))
    return lambda: {"by": marnie.pk, "key": f"list-{next(count):06d}", "now": NOW}


def asked(data: bytes, **more: object) -> ListRequest:
    """A request with the columns as they are guessed."""
    file = read_list(data)
    return ListRequest(file.digest, {one.name: one.goes_to for one in file.guessed}, **more)  # type: ignore[arg-type]


def test_the_columns_are_guessed_by_name_and_by_what_stands_in_them() -> None:
    """Consent is never taken from a list; two names of one field are guessed once."""
    goes = {one.name: one.goes_to for one in read_list(LIST.encode()).guessed}
    assert goes == {
        "Name": "name", "Mobile": "phone", "E-mail": "email", "Bike": "bike_words", "Frame": "frame_number", "Notes": "note",
        "Last visit": "last_here", "Newsletter": "",
    }  # fmt: skip
    german = guessed_columns(
        ("Vorname", "Nachname", "Handy", "Rahmennummer", "Karte"), [["Ada", "F", "0170", "X", "1"]]
    )
    assert [one.goes_to for one in german] == ["first_name", "last_name", "phone", "frame_number", ""]
    told = guessed_columns(("A", "B", "C"), [["x@example.org", "07700 900118", "4111 1111 1111 1111"]] * 3)
    assert [(one.goes_to, one.look) for one in told] == [("email", True), ("phone", True), ("", False)]
    assert told[2].why == "looks like card numbers: left out"


@pytest.mark.parametrize(
    ("data", "encoding", "separator"),
    [
        (LIST.encode(), "UTF-8", "semicolons"),
        (LIST.encode("utf-8-sig"), "UTF-8", "semicolons"),
        (LIST.encode("utf-16"), "UTF-16", "semicolons"),
        (LIST.encode("cp1252"), "Windows-1252", "semicolons"),
        (LIST.replace(";", "\t").encode(), "UTF-8", "tabs"),
        (b'"Name, all of it",Phone\n"Fenwick, Ada",07700 900118\n', "UTF-8", "commas"),
    ],
)
def test_a_file_is_read_as_its_writer_saved_it(data: bytes, encoding: str, separator: str) -> None:
    """Encoding and separator are found by themselves, and every letter comes through."""
    file = read_list(data)
    assert (file.encoding, file.separator) == (encoding, separator)
    assert "Zoë Müller" in str(file.rows) or "Fenwick, Ada" in str(file.rows)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"PK\x03\x04rest", "This is a spreadsheet file: save it as CSV first"),
        (b"", "The file is empty"),
        (b"one column\nx\n", "no columns that can be told apart"),
        (b"a,b\n", "no row below its header"),
    ],
)
def test_what_is_no_list_is_said_plainly(data: bytes, sentence: str) -> None:
    """With what to do."""
    with pytest.raises(InputRefused, match=sentence):
        read_list(data)


def test_a_list_comes_in_whole(mark: Act) -> None:
    """A row that stops stops it all, unless it is left out; two rows of one person are one owner with two bikes."""
    file, request = read_list(LIST.encode()), asked(LIST.encode())
    seen = try_list(file, request)
    assert (seen.owners, seen.bikes, seen.without_bike, seen.stopped) == (
        3,
        3,
        1,
        ((5, "no name and no phone"),),
    )
    assert seen.days == "day first"
    with pytest.raises(InputRefused, match=r"1 of 5 rows stop it \(lines 5\): no name and no phone"):
        take_list(file, request, **mark())
    assert Owner.objects.count() == 0
    done = take_list(file, asked(LIST.encode(), without_stopped=True), **mark())
    assert (done.owners, done.bikes) == (3, 3)
    ada = Owner.objects.get(name="Ada Fenwick")
    assert (ada.phone, ada.note, [way["value"] for way in ada.ways]) == (
        "07700 900118",
        "pays cash",
        ["ada@fenwick.example"],
    )
    assert sorted(ada.bikes.values_list("kind", "words", "note")) == [
        ("city", "steel tourer green", "From a list, not looked at: last here: 12 Mar 2026"),
        ("ebike", "city e-bike", "From a list, not looked at: last here: 25 Nov 2025"),
    ]
    assert {one.owner for one in find_bikes("muller")} == {"Zoë Müller"}
    assert not Consent.objects.exists()
    assert "Fenwick" not in str(Event.objects.get(kind="list taken in").said)


def test_a_bike_of_a_list_can_be_checked_in(mark: Act) -> None:
    """It has its frame, and everything else is put on its build sheet as it is seen."""
    take_list(read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True), **mark())
    tag = find_bikes("wtu0927")[0].tag
    assert check_in(CheckInRequest(tag=tag, owner_words="brakes"), **mark()).tag == tag


def test_the_same_file_again_brings_nothing(mark: Act) -> None:
    """Known by phone, by name and frame number; the columns are remembered by the file's header."""
    file, request = read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True)
    take_list(file, request, **mark())
    again = take_list(file, request, **mark())
    assert (again.owners, again.bikes, again.bikes_known) == (0, 0, 3)
    assert columns_before(file) == dict(request.columns)


def test_who_is_known_gains_bikes_and_empty_fields_only(mark: Act) -> None:
    """What the workshop wrote stands; another person at the same phone stays another."""
    Owner.objects.create(name="Ada Fenwick-Moss", phone="+44 7700 900118", note="rings twice")
    Owner.objects.create(name="Lotte Brand", phone="01632 960001")
    take_list(read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True), **mark())
    ada = Owner.objects.get(phone="+44 7700 900118")
    assert (ada.name, ada.note, ada.bikes.count()) == ("Ada Fenwick-Moss", "rings twice", 2)
    assert [way["value"] for way in ada.ways] == ["ada@fenwick.example"]
    assert Owner.objects.filter(name="Jonas Fen").exists()


def test_a_list_is_taken_back_as_far_as_nobody_used_it(mark: Act) -> None:
    """A bike that has been here since stays, with its owner, and is named."""
    done = take_list(read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True), **mark())
    tag = find_bikes("wtu0927")[0].tag
    check_in(CheckInRequest(tag=tag, owner_words="brakes"), **mark())
    back = take_list_back(ListBackRequest(done.event), **mark())
    assert (back.owners, back.bikes, back.stays) == (2, 2, (tag,))
    assert set(Owner.objects.values_list("name", flat=True)) == {"Zoë Müller"}
    assert list(Bike.objects.values_list("tag", flat=True)) == [tag]
    assert find_bikes("fenwick") == ()


@pytest.mark.parametrize("what", [Peg, Trainer])
def test_who_has_something_here_by_now_stays_without_bikes_too(mark: Act, what: type[Peg | Trainer]) -> None:
    """A peg or a trainer of theirs stops nothing and is not lost."""
    done = take_list(read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True), **mark())
    jonas = Owner.objects.get(name="Jonas Fen")
    what.objects.create(owner=jonas, **({"words": "hall"} if what is Peg else {"name": "turbo"}))
    assert take_list_back(ListBackRequest(done.event), **mark()).owners == 2
    assert Owner.objects.get() == jonas


def test_a_tag_that_was_lost_is_given_to_no_bike_of_a_list(mark: Act) -> None:
    """It may turn up again."""
    take_list(read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True), **mark())
    EarlierTag.objects.create(event=Event.objects.latest("pk"), bike=Bike.objects.first(), tag="PB-010")
    data = b"Name,Bike\nAda Fenwick,road bike\n"
    take_list(read_list(data), asked(data), **mark())
    assert Bike.objects.latest("pk").tag == "PB-011"


def test_a_list_as_wide_as_a_field_is_refused() -> None:
    """Each column would be a choice on the page."""
    header = ",".join(f"column {n}" for n in range(101))
    with pytest.raises(InputRefused, match="The list has 101 columns: 100 are allowed"):
        read_list(f"{header}\n{header}\n".encode())


def test_days_that_can_be_read_two_ways_are_asked_about(mark: Act) -> None:
    """Neither guess is taken; told which, the list comes in."""
    data = b"Name,Bike,Last visit\nAda Fenwick,road bike,03/04/2026\n"
    with pytest.raises(InputRefused, match="Is 03/04 the day first or the month first"):
        try_list(read_list(data), asked(data))
    with pytest.raises(InputRefused, match='Days are written "day-first": day first or month first'):
        try_list(read_list(data), asked(data, days="day-first"))
    take_list(read_list(data), asked(data, days="month first"), **mark())
    assert Bike.objects.get().note.endswith("04 Mar 2026")


def test_a_kind_that_cannot_be_told_stops_or_is_said(mark: Act) -> None:
    """Nothing is guessed of a bike whose words tell no kind, unless somebody says what such bikes are."""
    data = b"Name,Bike\nAda Fenwick,Blue Arrow 3\n"
    assert try_list(read_list(data), asked(data)).stopped == (
        (2, 'what kind of bike "Blue Arrow 3" is can\'t be told'),
    )
    assert take_list(read_list(data), asked(data, rest_kind="city"), **mark()).bikes == 1
    assert [kind_told(words) for words in ("MTB HT", "Rennrad", "VTT", "Hollandrad", "Blue Arrow 3")] == [
        "mtb", "road", "mtb", "city", "",
    ]  # fmt: skip


def test_a_mechanic_takes_no_list_in(mark: Act) -> None:
    """It is the owner's of the workshop."""
    with pytest.raises(NotAllowed, match="this is for the owner of the workshop"):
        take_list(
            read_list(LIST.encode()), asked(LIST.encode(), without_stopped=True),
            by=Person.objects.get(sign_in="ines").pk, key="not-allowed-1", now=NOW,
        )  # fmt: skip


def test_a_long_list_takes_fewer_statements_than_a_tenth_of_its_rows(mark: Act) -> None:
    """Rows go in by the batch: not one statement for ten rows."""
    statements = {}
    for rows in (200, 2_000):
        lines = "".join(
            f"Name {rows} {n},0163{rows % 7} {n:06d},road bike {n},FR{rows}-{n}\n" for n in range(rows)
        )
        data = f"Name,Phone,Bike,Frame\n{lines}".encode()
        with CaptureQueriesContext(connection) as asked_for:
            done = take_list(read_list(data), asked(data), **mark())
        assert (done.owners, done.bikes) == (rows, rows)
        statements[rows] = len(asked_for)
    assert statements[200] < 50 and statements[2_000] < 200, statements


def test_a_day_that_is_none_stops_its_row_and_is_said_back_as_far_as_it_fits(mark: Act) -> None:
    """The thirtieth of February, with what somebody wrote behind it."""
    day = "30/02/2026 in the morning, before the rain"
    text = f"Name;Bike;Last visit\r\nAda Fenwick;road bike;{day}\r\nJonas Fen;city bike;14/03/2026\r\n"
    file = read_list(text.encode())
    read = lay_rows(file, {one.name: one.goes_to for one in file.guessed}, days=DAY_FIRST)
    assert [(one.line, one.why) for one in read.stopped] == [(2, f'"{day[:20]}" is no day')]
    assert [one.bike_note for one in read.rows] == ["From a list, not looked at: last here: 14 Mar 2026"]
