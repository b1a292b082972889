"""A sheet of a job, or a hang tag, to be opened and printed from the tablet."""
