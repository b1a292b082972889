"""Pure computation, one folder a question. No database, no web, no clock, no disk."""
