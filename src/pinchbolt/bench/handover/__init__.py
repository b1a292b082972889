"""The handover: what was done, what was declined, and when the bike should be back."""
