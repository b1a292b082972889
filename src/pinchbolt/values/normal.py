"""Quantiles of the normal distribution by which an interval is said: half, and eight in ten."""

Z50 = 0.6744897501960817
"""Half of all lies within this many standard deviations of the middle."""
Z80 = 1.2815515655446004
"""Eight in ten lie within this many. Source: tables of the normal integral, held by tests/published."""
