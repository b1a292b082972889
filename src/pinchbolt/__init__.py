"""pinchbolt: the bench book of a cycle workshop."""

__version__ = "0.1.0"
