"""The day by JSON: the days of a job, a promise with its odds kept, the calendar; refused where it is out of sense."""
