"""What the workshop says of itself: name, money, stands, open days."""
