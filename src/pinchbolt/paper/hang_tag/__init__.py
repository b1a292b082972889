"""The hang tag on paper: a label 62 mm wide."""
