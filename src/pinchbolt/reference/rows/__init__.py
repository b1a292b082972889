"""Row classes, one file a subject."""
