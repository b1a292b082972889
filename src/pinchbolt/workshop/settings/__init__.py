"""The settings of the workshop: what stands now, who changed it last, its own rows of the tables, and taking a change back."""
