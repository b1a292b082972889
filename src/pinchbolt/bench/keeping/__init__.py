"""Safe keeping: everything as files, and lists taken in."""
