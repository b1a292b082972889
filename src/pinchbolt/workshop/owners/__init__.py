"""Owners: found before they are made, put right by acts, merged and taken apart again."""
