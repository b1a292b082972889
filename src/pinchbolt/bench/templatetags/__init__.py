"""What the pages say in templates."""
