"""Finding an owner and their bikes while typing: name, phone, tag, frame number, words of the bike."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Case, Prefetch, Q, When
from django.utils import timezone

from pinchbolt.records.models import Bike, Event, Job, LookUp, Owner, words_to_find
from pinchbolt.values.plain_words import figures, looked_for, phone_end, plain, run_together, same_phone
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.state import MOVES, state_of

MOST = 8
LEAST_LETTERS = 2
_MOST_OWNERS = 40
# A hang tag's code, read by a scanner that types: the tag stands at its end.
_TAG_ADDRESS = re.compile(r"^https?://[^/\s]+/[bB]/([^/\s?#]{1,12})/?$")
Marked = tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class BikeMatch:
    """A line of a find: a bike with its owner, or an owner who has no bike here (`tag` is empty).

    `name_marked`, `phone_marked` and `frame_marked` are the same words in pieces, each with whether it was looked for.
    `is_here` with `where` in words, else `last_here`.
    """

    tag: str
    words: str
    owner: str
    is_here: bool
    owner_id: int
    phone: str
    frame_number: str
    where: str
    last_here: date | None
    name_marked: Marked
    phone_marked: Marked
    frame_marked: Marked


def find_bikes(wanted: str, most: int = MOST) -> tuple[BikeMatch, ...]:
    """Return at most *most* lines for what is typed, from the second letter or figure on: tag first, then what begins so."""
    wanted = scanned(wanted.strip()[:120])
    terms = looked_for(wanted)
    if sum(map(len, terms)) < LEAST_LETTERS:
        return ()
    found = _lines(_owners(wanted, terms), wanted, terms)[:most]
    stays = _stays([bike for _, bike in found if bike is not None])
    return tuple(_match(owner, bike, terms, stays) for owner, bike in found)


def scanned(wanted: str) -> str:
    """Return the tag of a scanned hang tag, or what was typed."""
    code = _TAG_ADDRESS.match(wanted)
    return code.group(1).upper() if code else wanted


def only_tag(wanted: str) -> str:
    """Return the tag that was typed or scanned whole, where a bike has it; else nothing."""
    tag = scanned(wanted.strip()).upper()[:12]
    return tag if tag and Bike.objects.filter(tag=tag).exists() else ""


def owners_of_phone(phone: str) -> tuple[Owner, ...]:
    """Return the owners with this number, told by its figures: a country's prefix does not matter."""
    end = phone_end(phone)
    if not end:
        return ()
    rows = Owner.objects.filter(look_up__words__contains=end).order_by("pk")[:200]
    return tuple(row for row in rows if any(same_phone(phone, one) for one in phones_of(row)))


def owners_of_name(name: str) -> tuple[Owner, ...]:
    """Return the owners of this name, whatever its accents, capitals and blanks."""
    wanted = run_together(name)
    if not wanted:
        return ()
    rows = Owner.objects.filter(look_up__words__contains=f" {wanted} ").order_by("pk")[:200]
    return tuple(row for row in rows if run_together(row.name) == wanted)


def phones_of(owner: Owner) -> tuple[str, ...]:
    """Return every number of an owner, as typed, the first one first."""
    further = [str(one["value"]) for one in owner.ways if one.get("kind") == "phone"]
    return tuple(filter(None, (owner.phone, *further)))


def _owners(wanted: str, terms: Sequence[str]) -> list[Owner]:
    """Those in whose words all terms stand: first where they begin a word, then where they are inside one."""
    together = run_together(wanted)
    whole, joined = _said(f" {together} "), _said(f" {together}")
    begins, inside = _said(*(f" {term}" for term in terms)), _said(*terms)
    # All rows are gone through once: what is typed together is looked for by itself only where it is not one of the terms.
    rows = LookUp.objects.filter(inside if together in terms else inside | joined)
    best = Case(*(When(one, then=place) for place, one in enumerate((whole, joined, begins))), default=3)
    found = list(rows.order_by(best, "owner").values_list("owner", flat=True)[:_MOST_OWNERS])
    owners = Owner.objects.prefetch_related(Prefetch("bikes", Bike.objects.order_by("tag"))).in_bulk(found)
    return [owners[pk] for pk in found]


def _said(*words: str) -> Q:
    """All of these stand among the words of an owner."""
    return Q(*(Q(words__contains=one) for one in words))


def _lines(owners: Iterable[Owner], wanted: str, terms: Sequence[str]) -> list[tuple[Owner, Bike | None]]:
    """A line a bike; where what was typed is of a bike, only of such bikes. The tag itself comes first."""
    found: list[tuple[Owner, Bike | None]] = []
    together = run_together(wanted)
    for owner in owners:
        bikes = list(owner.bikes.all())
        own = words_to_find(owner, ())
        asked = [] if together in own else [term for term in terms if term not in own]
        fitting = [
            bike for bike in bikes if all(term in words_to_find(_NOBODY, [bike]) for term in asked)
        ] or [bike for bike in bikes if together in words_to_find(_NOBODY, [bike])]
        found += [(owner, bike) for bike in fitting or bikes] or [(owner, None)]
    return sorted(found, key=lambda line: line[1] is None or run_together(line[1].tag) != together)


_NOBODY = Owner(name="")


def _stays(bikes: Sequence[Bike]) -> dict[int, list[Job]]:
    """The stays of some bikes, the newest first, each with the events that move it."""
    moves = Prefetch("events", Event.objects.filter(kind__in=MOVES, corrected_by__isnull=True).order_by("pk"))
    rows = Job.objects.filter(bike__in=bikes).order_by("-opened_at").prefetch_related(moves)
    found: dict[int, list[Job]] = defaultdict(list)
    for job in rows:
        found[job.bike_id].append(job)
    return found


def _match(owner: Owner, bike: Bike | None, terms: Sequence[str], stays: dict[int, list[Job]]) -> BikeMatch:
    jobs = stays.get(bike.pk, []) if bike is not None else []
    states = [state_of(job.events.all()) for job in jobs]
    here = next((state for state in states if not state.ended), None)
    phone = next(
        (one for one in phones_of(owner) if any(term in figures(one) for term in terms)), owner.phone
    )
    frame = bike.frame_number if bike is not None else ""
    return BikeMatch(
        tag=bike.tag if bike is not None else "",
        words=bike.words if bike is not None else worded("no bike yet"),
        owner=owner.name,
        is_here=here is not None,
        owner_id=owner.pk,
        phone=phone,
        frame_number=frame,
        where=here.words if here is not None else "",
        last_here=timezone.localtime(jobs[0].opened_at).date() if jobs else None,
        name_marked=_marked_words(owner.name, terms),
        phone_marked=((phone, any(term in figures(phone) for term in terms)),) if phone else (),
        frame_marked=_marked_piece(frame, terms),
    )


def _marked_words(name: str, terms: Sequence[str]) -> Marked:
    """The words of a name; of a word that begins as was typed, its beginning is marked."""
    pieces: list[tuple[str, bool]] = []
    for number, word in enumerate(name.split()):
        blank = " " if number else ""
        bare = plain(word)
        length = max((len(term) for term in terms if bare.startswith(term)), default=0)
        if length and len(bare) == len(word):
            pieces += [(blank, False), (word[:length], True), (word[length:], False)]
        else:
            pieces.append((f"{blank}{word}", bool(length)))
    return tuple(piece for piece in pieces if piece[0])


def _marked_piece(words: str, terms: Sequence[str]) -> Marked:
    """A frame number with the piece that was looked for; marked whole where signs stand in it."""
    bare = run_together(words)
    term = next((one for one in terms if one in bare), "")
    if not words or not term:
        return ()
    if len(bare) != len(words):
        return ((words, True),)
    at = bare.index(term)
    pieces = ((words[:at], False), (words[at : at + len(term)], True), (words[at + len(term) :], False))
    return tuple(piece for piece in pieces if piece[0])
