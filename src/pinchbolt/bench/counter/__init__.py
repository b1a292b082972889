"""What the owner is told at the counter."""
