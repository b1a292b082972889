"""Who comes back, by week: one tap for what was said, letters for those who said yes, the outbox."""
