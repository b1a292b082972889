"""How well it goes, on one page and as CSV."""
