"""Who is asked back in which week, why and how: the list, what was said of it, letters and the outbox."""
