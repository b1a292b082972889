"""Parts that are not on the bike: bins and catalogue, what a build sheet may take, what fits, and the swaps that it takes."""
