"""The shop's own words on papers and in texts to owners."""
