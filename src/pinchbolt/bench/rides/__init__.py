"""Ride files of a bike: dropped, reported, placed, drawn."""
