"""Parts that are wanted: the page of all of them, those of one job, suppliers."""
