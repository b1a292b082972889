"""Who works here: adding people, setting PINs."""
