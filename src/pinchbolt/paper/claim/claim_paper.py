"""What the sheet of a claim says: what broke, its photos, how it was bought, used, read and tightened."""

from base64 import b64encode
from datetime import datetime
from io import BytesIO

from django.utils import timezone
from PIL import Image

from pinchbolt.paper.paper_facts import PAPERS, day_text, shop_facts, time_text, wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.proof.claim_sheet import ClaimSheetView, ProofShown, claim_sheet
from pinchbolt.workshop.proof.open_claim import ClaimWord
from pinchbolt.workshop.proof.proof_photos import shown_bytes

_FOOTER = worded(
    "The photos and figures are as they were written down on the day; the workshop's "
    "records hold who wrote each."
)


def claim_values(claim: int, now: datetime) -> dict[str, object]:
    """Return the values of a claim's sheet.

    Raises:
        NotFound: There is no such claim.
    """
    seen = claim_sheet(claim, now)
    one, shop = seen.claim, terms()
    return {
        "sheet": worded("Claim"),
        "title": worded("Claim {id}: {name}, {shop_name}", id=one.id, name=one.name, shop_name=shop.name),
        "number": worded("claim {id}", id=one.id),
        "paper": PAPERS[shop.paper],
        "shop": shop_facts(),
        "bike": {"tag": one.tag, "words": wrapped(seen.bike_words), "frame_number": wrapped(seen.frame_number)},
        "owner": {"name": ""},
        "heads": [[label, wrapped(words)] for label, words in _heads(seen, now) if words],
        "broke": wrapped(one.broke),
        "lacking": list(seen.lacking),
        "photos": [_photo(proof) for proof in seen.photos],
        "parts": [
            ["Markings", list(seen.markings)],
            [worded("Readings, and what they were read with"), list(seen.readings)],
            [worded("Tightened, and with what"), list(seen.torques)],
            [worded("Checks of this tool"), list(seen.checks)],
            [worded("What became of the claim"), [_word(word) for word in one.words]],
            [worded("Build sheet of the bike"), [wrapped(words) for words in seen.build]],
        ],
        "left_out": seen.left_out,
        "footer": _FOOTER,
    }  # fmt: skip


def _word(word: ClaimWord) -> str:
    said = f", {word.words}" if word.words else ""
    return f"{day_text(timezone.localdate(word.at))}: {word.state}{said} ({word.by})"


def _heads(seen: ClaimSheetView, now: datetime) -> list[tuple[str, str]]:
    one = seen.claim
    known = one.warranty
    return [
        ("what", one.name),
        ("bike", f"{seen.bike_words}{f', {one.tag}' if one.tag else ''}" if one.kind == "part" else ""),
        (worded("frame number"), seen.frame_number),
        ("found", f"{day_text(one.day)}, {one.by}"),
        ("warranty", known.words if known else worded("nothing is known of how it was bought")),
        ("note", known.note if known else ""),
        ("used", seen.distance),
        ("printed", time_text(now)),
    ]


def _photo(proof: ProofShown) -> dict[str, object]:
    """A photo inside a drawing: the press takes drawings as words, so nothing touches the disk."""
    jpeg = shown_bytes(proof)
    with Image.open(BytesIO(jpeg)) as opened:
        wide, high = opened.size
    inside = b64encode(jpeg).decode()
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}">'
        f'<image width="{wide}" height="{high}" href="data:image/jpeg;base64,{inside}"/></svg>'
    )
    return {"drawn": drawn, "words": wrapped(f"{proof.words}, {day_text(proof.day)}")}
