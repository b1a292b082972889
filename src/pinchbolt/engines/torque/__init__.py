"""Door of this engine (being built)."""
