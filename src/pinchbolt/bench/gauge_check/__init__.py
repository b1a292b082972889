"""One instrument is tried on something known."""
