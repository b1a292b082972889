"""The bill on paper: one page."""
