"""The shop's own words stand where they fit: each place has its most letters."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Person
from pinchbolt.workshop.acts.shop_words import shop_words
from pinchbolt.workshop.settings.words_on_papers import WordsRequest, set_words
from tests.story import NOW, PASSPHRASE, Story


def test_the_short_text_of_a_call_back_has_three_hundred_letters_at_most(arrived: Story) -> None:
    """300 are taken whole; one more is refused by a sentence with both figures, and what stood there stays."""
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    longest = "a" * 300
    set_words(WordsRequest({"back_text": longest}), by=marnie.pk, key=arrived.key(), now=NOW)
    with pytest.raises(InputRefused, match="short text has 301 characters: 300 are allowed"):
        set_words(WordsRequest({"back_text": "b" * 301}), by=marnie.pk, key=arrived.key(), now=NOW)
    assert shop_words("back_text") == longest
