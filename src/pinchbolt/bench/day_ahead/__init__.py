"""The day ahead: people and what is next, promises with their odds, whom to call, the week, calendars; odds for check-in and estimate."""
