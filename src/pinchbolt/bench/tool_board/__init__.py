"""Tools and instruments that hang here."""
