"""The bolt round on paper."""
