"""What lets a bike go and calls it back: safety list, sign-off, handover and its sheet, call-backs, the day at a glance."""
