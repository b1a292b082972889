"""Copies of the book and where they lie, what the doctor finds, and the first list again."""
