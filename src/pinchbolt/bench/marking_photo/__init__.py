"""A marking by its photo: made readable on the tablet, read where a reader is there, typed in any case."""
