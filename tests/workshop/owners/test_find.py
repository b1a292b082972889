"""An owner is found before a new one is made: by name, phone, tag, frame number, however it is typed."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from pinchbolt.records.models import Bike, LookUp, Owner, note_look_up, words_to_find
from pinchbolt.workshop.owners.find import find_bikes, only_tag, owners_of_name, owners_of_phone

pytestmark = pytest.mark.django_db


def known(name: str, phone: str = "", tag: str = "", frame: str = "", words: str = "road bike") -> Owner:
    """An owner with one bike."""
    owner = Owner.objects.create(name=name, phone=phone)
    if tag:
        Bike.objects.create(tag=tag, owner=owner, kind="road", words=words, frame_number=frame)
    return owner


@pytest.fixture
def four() -> None:
    """Four people with one bike each."""
    known("Ada Fenwick", "07700 900118", "PB-014", "AB12 3456", "steel tourer")
    known("Jonas Fen", "+44 (0)7700 900442", "PB-031", "", "gravel bike")
    known("Marta Quill", "01632 960001", "PB-002", "WTUFEN0927")
    known("Zoë Ångström-O'Neill", "", "PB-120", "7781-XQ")


@pytest.mark.parametrize(
    ("typed", "tags"),
    [
        ("fen", {"PB-014", "PB-031", "PB-002"}),
        ("FENW", {"PB-014"}),
        ("ada fen", {"PB-014"}),
        ("fenwick ada", {"PB-014"}),
        ("adafen", {"PB-014"}),
        ("zoe", {"PB-120"}),
        ("angstrom", {"PB-120"}),
        ("ÅNGSTRÖM oneill", {"PB-120"}),
        ("0118", {"PB-014"}),
        ("07700900", {"PB-014", "PB-031"}),
        ("+44 7700 900442", {"PB-031"}),
        ("07700 900442", {"PB-031"}),
        ("pb014", {"PB-014"}),
        ("Pb 031", {"PB-031"}),
        ("3456", {"PB-014"}),
        ("ab123456", {"PB-014"}),
        ("7781xq", {"PB-120"}),
        ("tourer", {"PB-014"}),
        ("f", set()),
        ("nobody", set()),
        ("   ", set()),
        ("http://192.0.2.7:8010/b/PB-031", {"PB-031"}),
    ],
)
def test_what_is_at_hand_finds_the_bike(four: None, typed: str, tags: set[str]) -> None:
    """Accents, capitals, blanks and signs do not matter; the last figures are enough."""
    assert {one.tag for one in find_bikes(typed)} == tags


def test_the_match_is_marked(four: None) -> None:
    """What was looked for stands out in the name, the phone or the frame number."""
    lines = {one.tag: one for one in find_bikes("fen")}
    assert lines["PB-014"].name_marked == (("Ada", False), (" ", False), ("Fen", True), ("wick", False))
    assert lines["PB-002"].frame_marked == (("WTU", False), ("FEN", True), ("0927", False))
    assert find_bikes("0118")[0].phone_marked == (("07700 900118", True),)


def test_a_tag_typed_whole_opens_at_once(four: None) -> None:
    """So a scanner that types needs no second tap; a piece of a tag is only looked for."""
    assert only_tag("pb-014") == "PB-014"
    assert only_tag("HTTP://192.0.2.7:8010/B/PB-014") == ""
    assert only_tag("http://192.0.2.7:8010/B/pb-014") == "PB-014"
    assert only_tag("pb-01") == ""


def test_a_phone_is_told_by_its_figures(four: None) -> None:
    """With the country's prefix or without, bracketed nought or not; a short number only whole."""
    for typed in ("07700 900442", "+44 7700 900442", "0044 7700-900442", "(07700) 900 442"):
        assert [one.name for one in owners_of_phone(typed)] == ["Jonas Fen"]
    assert owners_of_phone("900442") == () and owners_of_phone("") == ()


def test_a_name_is_told_without_accents(four: None) -> None:
    """Zoe Angstrom O'Neill typed plainly is the same name; a part of it is not."""
    assert [one.name for one in owners_of_name("zoe  angstrom oneill")] == ["Zoë Ångström-O'Neill"]
    assert owners_of_name("zoe") == ()


def test_a_name_from_anywhere_is_found() -> None:
    """Names in other scripts, and of one letter beside another word."""
    for number, (name, typed) in enumerate(
        [
            ("王小明", "小明"),
            ("Łukasz Żak", "zak"),
            ("Øyvind Þór", "thor"),
            ("Ольга Ёлкина", "елкина"),
            ("R. O", "r o"),
        ],
        1,
    ):
        known(name, tag=f"PB-{number:03d}")
        assert find_bikes(typed)[0].owner == name


def test_what_changes_is_found_by_its_new_words() -> None:
    """A name put right, a further bike, and a bike's frame number read later."""
    owner = known("Ada Fenwik", tag="PB-001")
    owner.name = "Ada Fenwick"
    owner.save()
    bike = Bike.objects.create(tag="PB-002", owner=owner, kind="road", words="city bike")
    bike.frame_number = "QQ77"
    bike.save(update_fields=["frame_number"])
    assert {one.tag for one in find_bikes("fenwick")} == {"PB-001", "PB-002"}
    assert [one.tag for one in find_bikes("qq77")] == ["PB-002"]


def test_a_find_asks_the_records_as_little_among_many_owners_as_among_four() -> None:
    """Typed on, it is asked every 150 ms: a few questions for the lines that are shown, whoever else is known."""
    owners = Owner.objects.bulk_create(
        [Owner(name=f"Name{n % 977} Sur{n}", phone=f"01632 {n:06d}") for n in range(3_000)]
    )
    bikes = {
        n: Bike.objects.create(
            tag=f"PB-{n}", owner=owners[n], kind="road", words="road bike", frame_number=f"F{n}"
        )
        for n in range(1_230, 1_240)
    }
    LookUp.objects.filter(owner__in=[one.owner_id for one in bikes.values()]).delete()
    LookUp.objects.bulk_create(
        [
            LookUp(
                owner=one,
                words=words_to_find(one, [Bike(tag=f"PB-{n}", words="road bike", frame_number=f"F{n}")]),
            )
            for n, one in enumerate(owners)
        ]
    )
    for typed, named in (
        ("sur2999", "Name68 Sur2999"),
        ("002998", "Name67 Sur2998"),
        ("pb-1234", "Name257 Sur1234"),
    ):
        with CaptureQueriesContext(connection) as asked:
            found = find_bikes(typed)
        assert named in {one.owner for one in found}
        assert len(asked) <= 8, [one["sql"][:120] for one in asked]
    with CaptureQueriesContext(connection) as asked:
        assert find_bikes("nobody of this name") == () and len(find_bikes("road")) == 8
    assert len(asked) <= 12


def test_all_owners_are_gone_through_once_and_the_whole_name_comes_first() -> None:
    """What is typed together, what begins a word and what stands inside one: told apart by one look at each owner."""
    for name in ("Unter Lindberg", "Bergmann", "Berg", "Lindberg Ott", "Ott Berg"):
        owner = Owner.objects.create(name=name, phone="0123")
        note_look_up(owner.pk)
    with CaptureQueriesContext(connection) as asked:
        one = [match.owner for match in find_bikes("berg")]
        two = [match.owner for match in find_bikes("ott berg")]
    assert one == ["Berg", "Ott Berg", "Bergmann", "Unter Lindberg", "Lindberg Ott"]
    assert two == ["Ott Berg", "Lindberg Ott"], "typed in another order, and inside a word"
    assert sum('FROM "records_lookup"' in query["sql"] for query in asked) == 2
