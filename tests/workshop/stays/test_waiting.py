"""What waiting costs, as it is said beside a line of the estimate."""

import pytest

from pinchbolt.workshop.stays.price import estimate
from tests.story import checked_in, priced, walked_round

pytestmark = pytest.mark.django_db


def test_every_sum_in_the_words_of_waiting_carries_its_currency() -> None:
    """A bare figure beside kilometres and percent could be any of them."""
    reasons = [
        words
        for line in estimate(priced(walked_round(checked_in())).record).lines
        for words in line.waiting_reasons
        if words.startswith(("8 in 10", "Leaving", "Cassette"))
    ]
    assert any("Cassette £" in words for words in reasons), reasons
    assert all("£" in words for words in reasons)
