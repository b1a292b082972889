"""The letter to an owner: what the workshop holds about them."""
