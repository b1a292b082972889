"""The owner's page, and what is done about an owner."""
