"""How things were bought, and claims: what is due, one thing, one claim."""
