"""The sheet of a claim on paper."""
