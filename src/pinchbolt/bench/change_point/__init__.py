"""When to change a chain: ways of doing it compared."""
