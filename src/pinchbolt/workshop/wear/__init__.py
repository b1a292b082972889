"""How one part wears on its bike, with what the workshop has learned; what waiting costs, and when to change."""
