"""The shop day: stands, rack, what waits, what is ready, who should be back."""
