"""Who works in the small workshop of the journeys and how they sign in, and who brings bikes there. All invented."""

from itertools import product

PASSPHRASE = "three plain words"
PINS = {"ines": "2846", "tobias": "7193", "marnie": "5312"}
NAMES = {"ines": "Ines Holloway", "tobias": "Tobias Quill", "marnie": "Marnie Oakes"}
_FIRST = ("Ada", "Bo", "Cleo", "Dov", "Edda", "Finn", "Gwen", "Hugo", "Isa", "Joss", "Kit", "Lio")
_OWNERS = product(("Merrow", "Alder", "Thorne", "Wickett"), _FIRST)


def new_owner() -> str:
    """An owner whom no journey has brought yet: of a name that is known here the door asks first whether it is the same person."""
    last, first = next(_OWNERS)
    return f"{first} {last}"
