"""The wheel sheet of a job: read, turn, read again."""
