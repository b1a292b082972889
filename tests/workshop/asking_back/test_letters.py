"""Letters: none without the owner's yes, none to an owner who was erased, each a whole file, gone when it may not go any more."""

import random
from email import message_from_bytes, policy
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.test.utils import CaptureQueriesContext

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Consent, Event, Owner, Workshop
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.asking_back import make_letters as letters
from pinchbolt.workshop.asking_back.make_letters import (
    LetterRequest,
    LettersMade,
    LettersRequest,
    letter_file,
    make_letters,
    mark_sent,
    outbox,
    send_letters,
    ways_open,
    withdraw_letter,
)
from pinchbolt.workshop.leaving.back_said import BackSaidRequest, say_of_call_back
from pinchbolt.workshop.leaving.call_back import all_call_backs
from pinchbolt.workshop.owners.consent import look_up_consents
from pinchbolt.workshop.owners.outbox import outbox_folder
from pinchbolt.workshop.owners.say_consent import ConsentRequest, say_consent
from tests.story import NOW, Story
from tests.workshop.asking_back.test_due_back import gone


@pytest.fixture(autouse=True)
def own_folder(settings: SimpleNamespace, tmp_path: Path, db: None) -> None:
    """An outbox of this test alone; letters on paper as a few bytes."""
    settings.OUTBOX = tmp_path / "outbox"
    settings.BACK_PRESS = "tests.workshop.asking_back.test_letters.pressed"
    Workshop.objects.update(mail="bench@workshop.example")


def pressed(owner: int, tag: str, words: str, now: object) -> bytes:
    """In the place of the press of paper."""
    return f"{tag} {words}".encode()


def due(days: int = 1) -> Story:
    """A bike to call back whose owner has a phone, an e-mail and an address."""
    at = gone(days)
    Workshop.objects.update(mail="bench@workshop.example")
    owner = at.record.bike.owner
    owner.ways = [{"kind": "e-mail", "value": "ada@owner.example", "whose": ""}]
    owner.phone, owner.address = "01632 960 111", "1 Field Lane"
    owner.save()
    return at


def say(at: Story, way: str, yes: bool = True) -> None:
    """What the owner said at the counter."""
    asked = ConsentRequest(at.record.bike.owner_id, "call-backs", way, yes)
    say_consent(asked, by=at.first, key=at.key(), now=NOW)


def made(at: Story, way: str = "") -> LettersMade:
    """Letters for this bike."""
    return make_letters(LettersRequest((at.tag,), way), by=at.first, key=at.key(), now=NOW)


def files() -> list[str]:
    """What lies on the disk."""
    folder = outbox_folder()
    return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


def test_no_letter_without_a_yes_and_a_yes_to_one_way_is_none_to_another() -> None:
    """Nobody asked, said no, said yes to texts: an e-mail is made in none of these."""
    at = due()
    assert "said no yes to any way of writing" in made(at).not_made[0]
    say(at, "text")
    assert "said no yes to e-mail" in made(at, "e-mail").not_made[0]
    assert files() == []
    told = made(at)
    assert [(one.tag, one.way) for one in told.made] == [(at.tag, "text")]
    assert letter_file(told.made[0].letter).read_text().startswith("01632 960 111\n")


def test_an_e_mail_lies_there_as_a_whole_file_that_any_program_reads() -> None:
    """With the reason in it; no name of a person stands in the file's name or in an event."""
    at = due()
    say(at, "e-mail")
    one = made(at).made[0]
    read = message_from_bytes(letter_file(one.letter).read_bytes(), policy=policy.default)
    assert read["To"].addresses[0].addr_spec == "ada@owner.example"
    assert "in 1 days" in read.get_content()
    assert files() == [f"{one.letter}.eml"]
    said = Event.objects.get(pk=one.letter).said
    assert set(said) == {"tag", "way", "owner"}


def test_a_no_takes_the_letter_out_of_the_outbox() -> None:
    """The file is gone, and it can't be sent."""
    at = due()
    say(at, "e-mail")
    one = made(at).made[0]
    say(at, "e-mail", yes=False)
    assert outbox() == ()
    assert files() == []
    with pytest.raises(NotFound, match="may not go any more"):
        mark_sent(LetterRequest(one.letter), by=at.first, key=at.key(), now=NOW)


def test_letters_of_an_erased_owner_leave_the_outbox() -> None:
    """Whatever way the erasing went: what lies on the disk is held to the records whenever the outbox is looked at."""
    at = due()
    for way in ("e-mail", "letter"):
        say(at, way)
    made(at)
    Owner.objects.filter(pk=at.record.bike.owner_id).update(erased_at=NOW)
    assert outbox() == ()
    assert files() == []
    assert made(at).not_made == (f"{at.tag}: its owner was erased",)


def test_a_bike_that_has_another_owner_brings_the_old_one_no_letter() -> None:
    """What was made for who had it is gone when somebody else has it."""
    at, other = due(), due()
    say(at, "e-mail")
    made(at)
    Bike.objects.filter(pk=at.record.bike_id).update(owner=other.record.bike.owner)
    assert outbox() == ()


def test_sent_or_taken_out_it_waits_no_longer_and_the_call_back_says_written() -> None:
    """Marked by hand, twice by one tap; taken out it may be made anew."""
    at = due()
    say(at, "e-mail")
    one = made(at).made[0]
    assert "waits in the outbox already" in made(at).not_made[0]
    withdraw_letter(LetterRequest(one.letter), by=at.first, key=at.key(), now=NOW)
    assert files() == []
    again = made(at).made[0]
    mark = at.key()
    for _ in range(2):
        mark_sent(LetterRequest(again.letter), by=at.first, key=mark, now=NOW)
    assert outbox() == () and files() == []
    said = next(one for one in all_call_backs(NOW) if one.tag == at.tag).said
    assert said is not None and said.what == "written" and said.asked == 1


def test_whoever_does_not_want_to_gets_no_letter() -> None:
    """A yes to e-mails is no yes to this visit."""
    at = due()
    say(at, "e-mail")
    say_of_call_back(BackSaidRequest(at.tag, "does not want to"), by=at.first, key=at.key(), now=NOW)
    assert "nobody writes" in made(at).not_made[0]


def test_nothing_is_sent_unless_a_mail_server_is_named(settings: SimpleNamespace) -> None:
    """The sentence says what to do instead."""
    at = due()
    say(at, "e-mail")
    made(at)
    settings.MAIL_SERVER = ""
    with pytest.raises(NotPossibleNow, match="open the files of the outbox"):
        send_letters(by=at.first, key=at.key(), now=NOW)
    assert len(files()) == 1


def test_a_mail_server_takes_them_and_one_that_is_away_leaves_all_waiting(
    settings: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was taken is marked as sent at once."""
    at = due()
    say(at, "e-mail")
    made(at)
    settings.MAIL_SERVER = "smtp-plain://mail.example:25"

    def away(*_: object, **__: object) -> None:
        raise OSError("no route")

    monkeypatch.setattr(letters, "MailDoor", away)
    with pytest.raises(NotPossibleNow, match="everything waits"):
        send_letters(by=at.first, key=at.key(), now=NOW)
    assert len(files()) == 1
    taken: list[str] = []

    class Door:
        def __enter__(self) -> "Door":
            return self

        def __exit__(self, *_: object) -> None: ...

        def send_message(self, letter: dict[str, str]) -> None:
            taken.append(str(letter["To"]))

    monkeypatch.setattr(letters, "MailDoor", lambda *_, **__: Door())
    assert send_letters(by=at.first, key=at.key(), now=NOW) == (f"{at.tag}: sent",)
    assert len(taken) == 1 and files() == []


def test_of_ten_thousand_owners_none_without_a_yes_is_written_to() -> None:
    """Drawn with a fixed seed: said yes, no, yes and then no, nothing; erased; without an address. Asked together in few questions."""
    at, draw = due(), random.Random(7)
    ways = ("text", "e-mail", "letter", "phone")
    owners = Owner.objects.bulk_create(
        [
            Owner(
                name=f"Owner {n}", phone="01632 960 222", address="2 Field Lane" if draw.random() < 0.8 else "",
                ways=[{"kind": "e-mail", "value": f"o{n}@owner.example", "whose": ""}] if draw.random() < 0.8 else [],
                erased_at=NOW if draw.random() < 0.1 else None,
            )
            for n in range(10_000)
        ]
    )  # fmt: skip
    told, plan, allowed = [], [], {owner.pk: set() for owner in owners}
    for n, owner in enumerate(owners):
        for _ in range(draw.choice((0, 1, 1, 2)) if owner.erased_at is None else 0):
            about, way, yes = (
                draw.choice(("call-backs", "call-backs", "news")),
                draw.choice(ways),
                draw.random() < 0.6,
            )
            plan.append((owner.pk, about, way, yes))
            told.append(
                Event(
                    at=NOW,
                    by_id=at.first,
                    kind="consent said",
                    key=f"c-{n}-{len(told)}",
                    fingerprint="",
                    said={},
                )
            )
            if about == "call-backs":
                (allowed[owner.pk].add if yes else allowed[owner.pk].discard)(way)
    events = Event.objects.bulk_create(told, batch_size=1000)
    Consent.objects.bulk_create(
        [
            Consent(
                event=event, owner_id=owner, about=about, by_way=way, yes=yes, day=NOW.date(), how="by phone"
            )
            for event, (owner, about, way, yes) in zip(events, plan, strict=True)
        ],
        batch_size=1000,
    )
    with one_look():
        look_up_consents([owner.pk for owner in owners])
        for owner in owners:
            found = {way for way, _, _ in ways_open(owner)}
            has = {"text"} | ({"letter"} if owner.address else set()) | ({"e-mail"} if owner.ways else set())
            assert found == allowed[owner.pk] & has


def test_many_letters_ask_few_questions_together(
    django_assert_max_num_queries: CaptureQueriesContext,
) -> None:
    """The outbox of thirty is looked at with as many questions as one of three."""
    for _ in range(3):
        at = due()
        say(at, "text")
        made(at)
    with django_assert_max_num_queries(10):
        assert len(outbox()) == 3


def test_a_letter_that_was_not_written_whole_is_taken_away() -> None:
    """What a power cut left beside it, and what no act made, is gone at the next look."""
    outbox_folder().mkdir(parents=True)
    for name in (".17.eml.4711", "999999.eml", "notes.txt"):
        (outbox_folder() / name).write_text("half")
    assert outbox() == ()
    assert files() == []
