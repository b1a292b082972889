"""Taking a bike in."""
