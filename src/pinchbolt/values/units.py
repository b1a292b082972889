"""Exact factors between units, named to_per_from: ``metres = inches * m_per_inch``.

Every factor is exact by definition (NIST SP 811, 2008, Appendix B: factors in bold are exact) or the product of exact
ones. Printed seven-digit values are checked in tests/published, never used here.
"""

m_per_inch = 0.0254
"""Inch, exact: NIST SP 811, B.8; international yard and pound agreement, 1959."""
m_per_ft = 0.3048
"""Foot, exact: NIST SP 811, B.8."""
kg_per_lb = 0.45359237
"""Pound avoirdupois, exact: NIST SP 811, B.8."""
n_per_kgf = 9.80665
"""Kilogram-force, exact: standard acceleration of free fall, 3rd CGPM, 1901; NIST SP 811, B.8."""

n_m_per_lbf_in = kg_per_lb * n_per_kgf * m_per_inch
"""Pound-force inch: product of exact factors; printed 0.1129848 in NIST SP 811, B.8."""
n_m_per_lbf_ft = kg_per_lb * n_per_kgf * m_per_ft
"""Pound-force foot: product of exact factors; printed 1.355818 in NIST SP 811, B.8."""
n_m_per_ozf_in = n_m_per_lbf_in / 16
"""Ounce-force inch: a sixteenth of the pound-force inch; printed 0.007061552 in NIST SP 811, B.8."""
n_m_per_kgf_m = n_per_kgf
"""Kilogram-force metre, exact: NIST SP 811, B.8."""
n_m_per_kgf_cm = n_per_kgf / 100
"""Kilogram-force centimetre, exact: NIST SP 811, B.8."""

n_per_lbf = kg_per_lb * n_per_kgf
"""Pound-force: product of exact factors; printed 4.448222 in NIST SP 811, B.8."""
pa_per_bar = 1e5
"""Bar, exact: NIST SP 811, B.8."""
pa_per_psi = n_per_lbf / m_per_inch**2
"""Pound-force per square inch: quotient of exact factors; printed 6894.757 in NIST SP 811, B.8."""
bar_per_psi = pa_per_psi / pa_per_bar
"""Pound-force per square inch in bar."""
mm_per_pitch = m_per_inch / 2 * 1000
"""Pitch of a cycle chain: half an inch, 12.7 mm, ISO 9633; of roller chains, ISO 606."""
mm_per_24_pitches = 12 * m_per_inch * 1000
"""24 pitches, as new: the length that a rule reads."""
days_per_year = 365.25
"""Mean year of the calendar with a leap day every fourth."""
days_per_month = days_per_year / 12
"""A twelfth of it; what months of a limit row are counted by."""
km_per_mile = 5280 * m_per_ft / 1000
"""Mile, exact: 5280 ft; NIST SP 811, B.8."""
