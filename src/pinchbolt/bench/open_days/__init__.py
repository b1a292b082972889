"""Open days and hours, stands, and when the workshop is closed."""
