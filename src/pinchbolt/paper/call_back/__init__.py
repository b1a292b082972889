"""The letter that asks an owner back."""
