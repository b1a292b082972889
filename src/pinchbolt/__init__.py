"""pinchbolt: the bench book of a cycle workshop."""

__version__ = "0.2.0"
