"""The build sheet of a bike: what is on it, how that is known, and changing it."""
