"""What the columns of a list of owners and bikes may be, and how they are guessed from their names and from what stands in them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pinchbolt.values.plain_words import figures, plain

LEAVE_OUT = ""
OWNER: Mapping[str, str] = {
    "name": "owner: name",
    "first_name": "owner: first name",
    "last_name": "owner: last name",
    "called": "owner: called",
    "phone": "owner: phone",
    "phone_2": "owner: second phone",
    "email": "owner: e-mail",
    "address": "owner: street",
    "postcode": "owner: postcode",
    "town": "owner: town",
    "land": "owner: country",
    "belongs_to": "owner: club or firm",
    "note": "owner: note",
    "number": "owner: their number there",
}
BIKE: Mapping[str, str] = {
    "bike_words": "bike: words",
    "bike_maker": "bike: maker, put before the words",
    "bike_kind": "bike: kind",
    "frame_number": "bike: frame number",
    "colour": "bike: colour",
    "speeds": "bike: rear sprockets",
    "km_a_week": "bike: km a week",
    "parts": "bike: parts fitted, as words",
    "last_here": "bike: last here",
    "bike_number": "bike: its number there",
}
FIELDS = {**OWNER, **BIKE}
# How such columns are called in English, German, French, Italian, Spanish and Dutch (general words; common practice, no source).
_CALLED: Mapping[str, str] = {
    "name": "name|full name|kunde|kundenname|nom complet|nominativo|nombre completo|naam|owner|rider|besitzer|proprietaire",
    "first_name": "first name|firstname|given name|forename|vorname|prenom|nome|nombre|voornaam",
    "last_name": "last name|lastname|surname|family name|nachname|familienname|nom|nom de famille|cognome|apellido|apellidos|achternaam",
    "called": "called|title|salutation|anrede|civilite|titolo|tratamiento|aanhef",
    "phone": "phone|mobile|mobile phone|cell|telephone|tel|telefon|handy|mobil|telephone portable|portable|telefono|cellulare|movil|"
    "telefoon|mobiel",
    "phone_2": "phone 2|second phone|home phone|other phone|telefon 2|festnetz|fixe|telefono 2|fijo|telefoon 2|landline",
    "email": "e mail|email|mail|courriel|correo|posta elettronica|correo electronico|e mailadresse|emailadres",
    "address": "address|street|address 1|strasse|adresse|rue|indirizzo|via|direccion|calle|adres|straat",
    "postcode": "postcode|post code|zip|plz|code postal|cap|codigo postal",
    "town": "town|city|ort|stadt|ville|citta|ciudad|plaats|woonplaats",
    "land": "country|land|pays|paese|pais",
    "belongs_to": "company|club|firm|firma|verein|societe|azienda|empresa|bedrijf|organisation",
    "note": "note|notes|remarks|comment|comments|bemerkung|notiz|notizen|remarque|remarques|nota|observaciones|opmerking",
    "number": "number|owner number|kundennummer|kunden nr|numero|numero cliente|klantnummer|id",
    "bike_words": "bike|bicycle|model|fahrrad|rad|modell|velo|modele|bici|bicicletta|modello|bicicleta|modelo|fiets",
    "bike_maker": "make|brand|maker|marke|hersteller|marque|marca|merk",
    "bike_kind": "kind|type|bike type|art|radtyp|typ|type de velo|tipo|soort",
    "frame_number": "frame|frame number|frame no|serial|serial number|rahmennummer|rahmen nr|numero de cadre|telaio|numero telaio|"
    "numero de cuadro|bastidor|framenummer",
    "colour": "colour|color|farbe|couleur|colore|kleur",
    "speeds": "speeds|gears|gange|vitesses|rapporti|velocidades|versnellingen",
    "km_a_week": "km a week|km per week|km week|km woche|km semaine",
    "parts": "parts|components|teile|pieces|componenti|componentes|onderdelen",
    "last_here": "last here|last visit|last service|letzter besuch|letzte inspektion|derniere visite|ultima visita|laatste bezoek",
    "bike_number": "bike number|bike id|rad nr|fietsnummer",
}  # fmt: skip
_NEVER = re.compile(
    r"\b(?:consent|opt in|newsletter|marketing|einwilligung|owed|balance|debt|saldo|schuld|offen|password|passwort|pass|kennwort|pin|"
    r"card|iban|konto|account|bank|karte|carte|tarjeta|tarjeta|kaart)\b"
)
# Words by which a kind of bike is told in a list, by our kinds (common practice, no source).
_KINDS: Mapping[str, str] = {
    "ebike": r"\be ?bike|\bpedelec|\belectric|\belektro|\bebike|vae\b",
    "cargo": r"\bcargo|\blasten|\bbakfiets",
    "kids": r"\bkid|\bchild|\bkinder|\benfant|\bbambin|\bnino",
    "gravel": r"\bgravel|\bcyclocross|\bcross ?rad|\bcx\b",
    "mtb": r"\bmtb\b|\bmountain|\bhardtail|\bfully|\benduro|\bvtt\b|\btrail",
    "tandem": r"\btandem",
    "recumbent": r"\brecumbent|\bliegerad|\bligfiets",
    "trike": r"\btrike|\btricycle|\bdreirad",
    "track": r"\btrack|\bfixie|\bfixed|\bsingle ?speed|\bbahnrad",
    "road": r"\broad|\brace|\brennrad|\broute\b|\bcorsa|\bcarretera|\brace ?fiets|\btriathlon",
    "city": r"\bcity|\btour(?:er|ing)|\btrekking|\bholland|\bstadt|\bhybrid|\burban|\bville\b|\bcommuter|\bfolding|\bfaltrad",
}


@dataclass(frozen=True, slots=True)
class ColumnGuessed:
    """A column of a list: its name, the first thing that stands in it, where it goes, whether to look at it, and why it is left out."""

    name: str
    first: str
    goes_to: str
    look: bool
    why: str = ""


def guessed_columns(header: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[ColumnGuessed, ...]:
    """Return where each column goes, by its name and then by what stands in it; nothing is guessed twice onto one field."""
    taken: set[str] = set()
    found: dict[int, ColumnGuessed] = {}
    cells = [
        [row[at].strip() for row in rows[:200] if at < len(row) and row[at].strip()]
        for at in range(len(header))
    ]
    for sure in (True, False):
        for at, name in enumerate(header):
            if at in found:
                continue
            first = cells[at][0] if cells[at] else ""
            why = _never(name, cells[at])
            if why:
                found[at] = ColumnGuessed(name, first, LEAVE_OUT, False, why)
                continue
            goes = _by_name(name) if sure else _by_cells(cells[at])
            if goes and goes not in taken:
                taken.add(goes)
                found[at] = ColumnGuessed(name, first, goes, not sure)
    rest = [
        ColumnGuessed(name, cells[at][0] if cells[at] else "", LEAVE_OUT, bool(cells[at]))
        for at, name in enumerate(header)
    ]
    return tuple(found.get(at, rest[at]) for at in range(len(header)))


def _by_name(name: str) -> str:
    bare = plain(name)
    return next(
        (
            field
            for field, words in _CALLED.items()
            if bare in words.split("|") or bare == field.replace("_", " ")
        ),
        "",
    )


def _by_cells(cells: Sequence[str]) -> str:
    """What most cells of a column look like."""
    if not cells:
        return ""
    mails = sum("@" in one for one in cells)
    phones = sum(len(figures(one)) >= 7 and not any(map(str.isalpha, one)) for one in cells)
    kinds = sum(bool(kind_told(one)) for one in cells)
    for field, count in (("email", mails), ("phone", phones), ("bike_words", kinds)):
        if count > 0.6 * len(cells):
            return field
    return ""


def _never(name: str, cells: Sequence[str]) -> str:
    if _NEVER.search(plain(name)):
        return "never taken from a list: consent, money, accounts and secrets stay out"
    if cells and sum(_is_card(one) for one in cells) > 0.5 * len(cells):
        return "looks like card numbers: left out"
    return ""


def _is_card(text: str) -> bool:
    """13 to 19 figures with the check figure of ISO/IEC 7812 (Luhn)."""
    told = figures(text)
    if not 13 <= len(told) <= 19 or any(map(str.isalpha, text)):
        return False
    doubled = [int(one) * (2 if at % 2 else 1) for at, one in enumerate(reversed(told))]
    return sum(one - 9 if one > 9 else one for one in doubled) % 10 == 0


def kind_told(words: str) -> str:
    """Return the kind of bike that words tell of, by its row; nothing where they tell none."""
    bare = plain(words)
    return next((kind for kind, pattern in _KINDS.items() if re.search(pattern, bare)), "")
