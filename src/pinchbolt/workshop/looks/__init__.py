"""Ten minutes at the stand: which look next, what was looked at, what the owner complains of."""
