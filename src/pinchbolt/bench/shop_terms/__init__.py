"""What the workshop says of itself: name, letterhead, currency, and its tax classes with the day from which a rate counts."""
