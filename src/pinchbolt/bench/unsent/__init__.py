"""What was done on this tablet and has not arrived yet."""
