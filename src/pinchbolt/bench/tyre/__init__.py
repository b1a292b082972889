"""A tyre on a rim, in a frame, with a pressure under every ceiling."""
