"""The money of a job: deposit, payments, bills."""
