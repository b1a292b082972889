"""The bike on record: its build sheet, facts of its parts, what is marked on them, and parts coming, going and moving."""
