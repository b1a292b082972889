"""The tool board: tools and instruments that hang here, their checks, and what a bad check casts back."""
