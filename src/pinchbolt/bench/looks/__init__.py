"""Ten minutes at the stand: the next card, one tap an answer, and what was not looked at."""
