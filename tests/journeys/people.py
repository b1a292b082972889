"""Who works in the small workshop of the journeys, and how they sign in. All invented."""

PASSPHRASE = "three plain words"
PINS = {"ines": "2846", "tobias": "7193", "marnie": "5312"}
NAMES = {"ines": "Ines Holloway", "tobias": "Tobias Quill", "marnie": "Marnie Oakes"}
