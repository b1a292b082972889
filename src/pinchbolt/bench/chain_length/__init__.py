"""How long to cut a chain, from the bike's build sheet or by hand."""
