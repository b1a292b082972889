"""What proves: a marking with its photo, how a thing was bought, and a claim with all that speaks for it."""
