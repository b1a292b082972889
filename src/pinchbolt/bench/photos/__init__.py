"""Photos of a stay: taken with the tablet, seen, and taken away."""
