"""Rows of the tables: found by a word, changed beside the trade's, tried before they are saved, and their history."""
