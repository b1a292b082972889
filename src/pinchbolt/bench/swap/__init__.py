"""The swap page: two sides, what is moved or wanted, and up to five ways with their reasons and gears."""
