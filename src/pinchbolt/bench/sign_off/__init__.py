"""The safety list of this bike, the second look and the sign-off."""
