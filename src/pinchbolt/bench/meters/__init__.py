"""Tension meters: their tables, and a known weight."""
