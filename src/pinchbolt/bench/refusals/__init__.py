"""Pages for what went wrong before a screen could answer."""
