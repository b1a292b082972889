"""Something came up: what a job does not do every day, one short form each, and taking back the last act."""
