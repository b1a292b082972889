"""The day ahead: who is in, what the records teach of minutes and waits, promises with their odds, the plan, the calendar, how well it goes."""
