"""Building a wheel from parts of the bins."""
