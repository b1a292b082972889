"""The bins: what lies there, and taking a file of parts in."""
