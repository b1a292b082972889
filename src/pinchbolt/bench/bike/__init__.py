"""The bike page: drawing, build sheet, history."""
