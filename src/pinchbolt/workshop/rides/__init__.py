"""How far bikes went and what that means for their parts: ride files, distances by word, whose a ride is, a part's use."""
