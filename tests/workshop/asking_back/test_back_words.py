"""The words of a call-back: a letter has its paragraphs, a text is one line."""

import pytest

from pinchbolt.records.models import Workshop
from pinchbolt.workshop.asking_back._back_words import BackWords, letter_words, text_words
from tests.workshop.asking_back.test_due_back import gone

pytestmark = pytest.mark.django_db


def test_a_letter_has_its_paragraphs_and_its_reason_is_a_sentence() -> None:
    """Greeting, reason, what to do, who writes; a name typed with a line end makes no paragraph."""
    gone(1)
    told = BackWords("Ada\nMerrow", "road bike", "PB-001", "Chain: likely at its limit")
    greeting, reason, then, who = letter_words(told).split("\n\n")
    assert greeting == "Hello Ada Merrow," and reason.endswith("(PB-001). Chain: likely at its limit.")
    assert then.startswith("If you like, ring us") and who == Workshop.objects.get().name
    assert "\n" not in text_words(told) and "limit. Ring us" in text_words(told)


def test_a_reason_that_ends_as_a_sentence_gets_no_second_stop() -> None:
    """A question stays one; the shop's own words keep their paragraphs."""
    gone(1)
    Workshop.objects.update(words={"back_letter": "Dear {owner}\n{why}\n\n\nYours"})
    assert letter_words(BackWords("Ada", "b", "PB-001", "Is it worn?")) == "Dear Ada\n\nIs it worn?\n\nYours"
