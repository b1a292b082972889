"""Which few tools an owner should have at home."""
