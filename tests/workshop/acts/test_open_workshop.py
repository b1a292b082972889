"""Opening a workshop of one's own: all of it or nothing, once, and by nobody's default words."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Event, Person, Workshop
from pinchbolt.workshop.acts.describe_shop import DaysRequest, ShopRequest, describe_shop, set_days
from pinchbolt.workshop.acts.money_terms import LabourRequest, labour_on_day, set_labour
from pinchbolt.workshop.acts.open_workshop import (
    OpeningRequest,
    TermsRequest,
    is_open,
    open_workshop,
    terms_told,
)
from pinchbolt.workshop.acts.passphrases import good_passphrase, made_passphrase
from tests.story import NOW

TERMS = TermsRequest("Tollgate Bench", "Winterby", "GB", Decimal("54"), 20.0)
ASKED = OpeningRequest(TERMS, "Rosa Tindle", "four plain words here")


@pytest.mark.django_db
def test_a_workshop_opens_with_its_first_person_who_owns_it() -> None:
    """Money and tax of the country, the usual days, one event, and no passphrase in it."""
    assert not is_open()
    person = Person.objects.get(pk=open_workshop(ASKED, key="opening-1", now=NOW))
    told = terms_told()
    assert (told.name, told.currency, told.tax_percent, told.stands) == ("Tollgate Bench", "GBP", 20, 2)
    assert list(told.open_days) == ["Tue", "Wed", "Thu", "Fri", "Sat"] and not told.is_demo
    assert (person.sign_in, person.role) == ("rosa", "owner of the workshop")
    assert person.check_password("four plain words here") and is_open()
    event = Event.objects.get()
    assert event.kind == "workshop opened" and "four plain" not in str(event.said)


@pytest.mark.django_db
def test_the_same_mark_opens_one_workshop_and_another_is_told_who_was_first() -> None:
    """A double tap is one opening; a second browser is not."""
    first = open_workshop(ASKED, key="opening-1", now=NOW)
    assert open_workshop(ASKED, key="opening-1", now=NOW) == first
    with pytest.raises(NotPossibleNow, match="opened already by Rosa Tindle"):
        open_workshop(replace(ASKED, person="Piet Second"), key="opening-2", now=NOW)
    assert Person.objects.count() == Workshop.objects.count() == 1


BAD = {
    "name": (replace(TERMS, name="  "), "Fill in the workshop's name"),
    "country": (replace(TERMS, country="XX"), "is not on the list"),
    "currency": (replace(TERMS, country="other", currency="euro"), "three letters, such as EUR"),
    "labour_an_hour": (replace(TERMS, labour_an_hour=Decimal("5400")), "Was 54.00 meant?"),
    "tax_percent": (replace(TERMS, tax_percent=200.0), "0 to 35 per cent is possible"),
    "stands": (replace(TERMS, stands=0), "1 to 12"),
    "open_days": (replace(TERMS, open_days={"Tue": ("17:30", "09:00")}), "closes before it opens"),
}


@pytest.mark.django_db
@pytest.mark.parametrize("field", BAD)
def test_a_wrong_field_is_refused_at_its_place_and_nothing_is_written(field: str) -> None:
    """Nobody works here and no workshop stands after a refusal."""
    terms, sentence = BAD[field]
    with pytest.raises(InputRefused) as refused:
        open_workshop(replace(ASKED, terms=terms), key="opening-1", now=NOW)
    assert sentence in refused.value.errors[field]
    assert not Person.objects.exists() and not Workshop.objects.exists() and not Event.objects.exists()


@pytest.mark.django_db
def test_all_wrong_fields_are_said_at_once() -> None:
    """One look at the page is enough to put it right."""
    wrong = TermsRequest("", "x" * 200, "GB", Decimal("0"), 99.0, 0, open_days={})
    with pytest.raises(InputRefused) as refused:
        open_workshop(replace(ASKED, terms=wrong), key="opening-1", now=NOW)
    assert set(refused.value.errors) >= {"name", "labour_an_hour", "tax_percent", "open_days"}


@pytest.mark.django_db
def test_terms_change_from_now_on_and_by_the_owner_alone() -> None:
    """A mechanic may not; the currency stays once a price was told."""
    owner = open_workshop(ASKED, key="opening-1", now=NOW)
    mechanic = Person.objects.make("piet", "Piet Marsh", "mechanic", "four plain words here")
    monday = DaysRequest({"Mon": ("08:00", "12:00")}, 3)
    with pytest.raises(NotAllowed):
        set_days(monday, by=mechanic.pk, key="terms-001", now=NOW)
    set_days(monday, by=owner, key="terms-002", now=NOW)
    set_labour(LabourRequest(Decimal("60"), NOW.date()), by=owner, key="terms-003", now=NOW)
    told = terms_told()
    assert (told.stands, list(told.open_days)) == (3, ["Mon"])
    assert labour_on_day(NOW.date()) == Decimal("60.00")
    assert labour_on_day(NOW.date() - timedelta(days=1)) == TERMS.labour_an_hour
    Event.objects.create(
        at=NOW - timedelta(days=1), by=mechanic, kind="priced", key="priced-1", fingerprint="", said={}
    )
    with pytest.raises(NotPossibleNow, match="Prices were told in GBP already"):
        describe_shop(ShopRequest(country="DE", currency="EUR"), by=owner, key="terms-004", now=NOW)


# Held by hand against the rule of NIST SP 800-63B: length counts, what is common or expected is refused.
GOOD = (
    "four plain words here",
    "Rad läuft ohne Ton",
    "kettenblatt-Dienstag-47",
    "自転車の修理は楽しいですよね今日",
)
POOR = (
    ("tollgate1", "9 characters"),
    ("x" * 201, "201 characters"),
    ("passwordpassword", "too common|easy to guess"),
    ("qwertyuiopas", "easy to guess"),
    ("aaaaaaaaaaaaaa", "easy to guess"),
    ("Tollgate Bench 1", "little but names"),
    ("rosatindle2026", "little but names"),
    ("bicycle workshop", "little but names"),
)


@pytest.mark.parametrize("passphrase", GOOD)
def test_a_good_passphrase_is_taken_as_it_is(passphrase: str) -> None:
    """No rule about signs or figures, in any script."""
    assert good_passphrase(passphrase, ("Tollgate Bench", "Winterby", "Rosa Tindle")) == passphrase


@pytest.mark.parametrize(("passphrase", "why"), POOR)
def test_a_poor_passphrase_says_what_is_wrong_with_it(passphrase: str, why: str) -> None:
    """And the sentence stands at its field."""
    with pytest.raises(InputRefused, match=why) as refused:
        good_passphrase(passphrase, ("Tollgate Bench", "Winterby", "Rosa Tindle"))
    assert "passphrase" in refused.value.errors


@given(st.text(max_size=220))
def test_no_text_breaks_the_check(text: str) -> None:
    """Whatever is typed is taken or refused in a sentence."""
    try:
        assert good_passphrase(text) == text and 12 <= len(text) <= 200
    except InputRefused as refused:
        assert refused.sentence


def test_made_passphrases_are_good_and_differ() -> None:
    """A thousand, none twice: 49 bits by chance."""
    made = {made_passphrase() for _ in range(1000)}
    assert len(made) == 1000
    assert all(good_passphrase(one, ("Tollgate Bench",)) for one in made)
