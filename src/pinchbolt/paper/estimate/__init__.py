"""The estimate on paper."""
