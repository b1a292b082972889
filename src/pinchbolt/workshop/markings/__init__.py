"""Markings read off a photo, and how well."""
