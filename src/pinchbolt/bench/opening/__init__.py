"""Before anybody works here: two doors, the opening of one's own workshop, and the way into the invented one."""
