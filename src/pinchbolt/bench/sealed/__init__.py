"""How a tablet comes to trust the bench book's https, once."""
