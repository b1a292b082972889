"""One tool is checked: by its size, by a weight, by its certificate, or by eye."""
