"""Finding an owner or a bike while typing."""
