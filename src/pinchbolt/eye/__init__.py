"""The eye: a general text reader in a process of its own, with a time limit. A shop without it types."""

from pinchbolt.eye.eye_process import MOST_SECONDS, Eye, EyeAway, EyeText, installed

__all__ = ["MOST_SECONDS", "Eye", "EyeAway", "EyeText", "installed"]
