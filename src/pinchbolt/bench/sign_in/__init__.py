"""Signing in, switching the person by PIN, signing out."""
