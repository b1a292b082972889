"""What was said and seen when the bike came in."""
