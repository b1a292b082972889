"""The settings: eight lines, each says what stands now and who changed it last, and leads to its page."""
