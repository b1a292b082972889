"""What to order tonight, a delivery that comes, counting the bins, who sells what and what is left of a price."""
