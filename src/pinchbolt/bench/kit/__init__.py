"""The kit for chosen bikes and joints."""
