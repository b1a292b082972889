"""What to order tonight, of whom and why; the marks of the bins."""
