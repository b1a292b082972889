"""Who is signed in on which tablet, what it is called, and ending it."""
