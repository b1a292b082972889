"""Screens."""
