"""Labour from a day on, the menu of work with its minutes, shelf prices, and operations of the workshop's own."""
