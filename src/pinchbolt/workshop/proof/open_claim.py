"""A claim: what broke, its photos, where it was sent, what came of it. A tool that broke goes off the board with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256

from django.db.models import QuerySet

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import CLAIM_STATES, UNDONE, Claim, ClaimMove, Instrument, ProofPhoto, Tool
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act, allowed
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.common.checks import local_day, not_in_future, short
from pinchbolt.workshop.proof.keep_photo import proof_jpeg
from pinchbolt.workshop.proof.say_warranty import WarrantyView, known_of_things, warranty_of
from pinchbolt.workshop.proof.things import Thing, thing_in, thing_of

OPENED, MOVED, SHOWN = "claim opened", "claim moved", "claim photographed"
OPEN, SENT, GRANTED, REFUSED, DROPPED = "open", *CLAIM_STATES
# Whoever has not answered is asked again after two weeks. Common practice, no source.
ASK_AGAIN = timedelta(days=14)
MOST_PHOTOS, _MOST_AHEAD = 12, 400


@dataclass(frozen=True, slots=True)
class ClaimRequest:
    """What broke: a part, a tool or an instrument, in words what is wrong with it, and the day on which it was found."""

    kind: str
    id: int
    broke: str
    day: date | None = None


@dataclass(frozen=True, slots=True)
class ClaimPhotoRequest:
    """A photo of what broke, by its digest; the bytes go beside."""

    claim: int
    words: str
    digest: str


@dataclass(frozen=True, slots=True)
class ClaimMoveRequest:
    """A word about a claim: sent, granted, refused or dropped. `answer_by`: when to ask again; left out, in two weeks."""

    claim: int
    state: str
    words: str = ""
    answer_by: date | None = None


@dataclass(frozen=True, slots=True)
class ClaimBackRequest:
    """A claim whose last word was a wrong tap; where there is none, the claim itself."""

    claim: int


@dataclass(frozen=True, slots=True)
class ClaimWord:
    """One word about a claim."""

    state: str
    words: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class ClaimView:
    """A claim as it stands. `due`: when to ask for an answer; `photos` by their act. `warranty`: what is known, or None."""

    id: int
    kind: str
    thing: int
    name: str
    tag: str
    broke: str
    day: date
    by: str
    state: str
    due: date | None
    is_due: bool
    words: tuple[ClaimWord, ...]
    photos: tuple[int, ...]
    warranty: WarrantyView | None

    @property
    def is_over(self) -> bool:
        """Whether nothing more is expected of it."""
        return self.state in (GRANTED, REFUSED, DROPPED)


def open_claim(request: ClaimRequest, *, by: int, key: str, now: datetime) -> ClaimView:
    """Open a claim; a tool or an instrument goes off the board by it.

    Raises:
        NotFound: There is no such thing.
        InputRefused: Nothing is said of what broke, or a day that lies ahead.
        NotPossibleNow: There is an open claim about it.
    """
    with act(OPENED, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return claim_by_id(this.done_before.pk, local_day(now))
        thing = thing_of(request.kind, request.id)
        broke = short(request.broke, "broke", worded("What broke"), 400, needed=True)
        day = not_in_future(
            request.day or local_day(now), now, "day", worded("The day on which it was found")
        )
        other = next(
            (
                one
                for one in claims(local_day(now))
                if (one.kind, one.thing) == (thing.kind, thing.id) and not one.is_over
            ),
            None,
        )
        if other is not None:
            raise NotPossibleNow(
                worded("Claim {id} about {name} is open: go on with that one.", id=other.id, name=thing.name)
            )
        was_up = _hang(thing, False)
        this.said = {**_said(this), "name": thing.name, "off_the_board": was_up}
        row = Claim.objects.create(event=this.write(bike=thing.bike), broke=broke, day=day, **thing.columns)
        return claim_by_id(row.pk, local_day(now))


def photograph_claim(claim: int, words: str, sent: bytes, *, by: int, key: str, now: datetime) -> None:
    """Keep a photo of what broke with its claim.

    Raises:
        NotFound: There is no such claim.
        InputRefused: No photo, or words too long.
        NotPossibleNow: The claim has as many as it can hold.
    """
    jpeg = proof_jpeg(sent)
    request = ClaimPhotoRequest(claim, words, sha256(sent).hexdigest())
    with act(SHOWN, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        row = _row(claim)
        if row.proofs.count() >= MOST_PHOTOS:
            raise NotPossibleNow(
                worded(
                    "Claim {claim} has {most_photos} photos: no more are kept.",
                    claim=claim,
                    most_photos=MOST_PHOTOS,
                )
            )
        said = short(words, "words", worded("The word on it"), 120)
        ProofPhoto.objects.create(event=this.write(bike=row.event.bike), claim=row, jpeg=jpeg, words=said)


def move_claim(request: ClaimMoveRequest, *, by: int, key: str, now: datetime) -> ClaimView:
    """Write down what became of a claim.

    Raises:
        NotFound: There is no such claim.
        InputRefused: No such word, or a day to ask again that lies behind.
        NotPossibleNow: The claim is over.
    """
    with act(MOVED, by=by, key=key, now=now, request=request) as this:
        today = local_day(now)
        row = _row(request.claim)
        if this.repeated:
            return claim_by_id(row.pk, today)
        if request.state not in CLAIM_STATES:
            sentence = worded(
                '"{state}" is no word of a claim: {claim_states}. Choose one.',
                state=request.state[:20],
                claim_states=", ".join(CLAIM_STATES),
            )
            raise InputRefused(sentence, {"state": sentence})
        before = claim_by_id(row.pk, today)
        if before.is_over:
            raise NotPossibleNow(
                worded(
                    "Claim {pk} was {state} already: take that word back first.",
                    pk=row.pk,
                    state=before.state,
                )
            )
        words = short(request.words, "words", worded("What was said"), 200)
        due = _due(request, today)
        event = this.write(bike=row.event.bike)
        ClaimMove.objects.create(event=event, claim=row, state=request.state, words=words, answer_by=due)
        return claim_by_id(row.pk, today)


def _due(request: ClaimMoveRequest, today: date) -> date | None:
    if request.state != SENT:
        return None
    due = request.answer_by or today + ASK_AGAIN
    if not 0 <= (due - today).days <= _MOST_AHEAD:
        sentence = worded(
            "Ask again on {due:%d %b %Y}? A day to come, within a year. Correct the day.", due=due
        )
        raise InputRefused(sentence, {"answer_by": sentence})
    return due


def take_back_claim(request: ClaimBackRequest, *, by: int, key: str, now: datetime) -> None:
    """Take the last word about a claim back; where there is none, the claim with its photos, and its tool hangs again.

    Raises:
        NotFound: There is no such claim.
    """
    with act(UNDONE, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        row = _row(request.claim)
        allowed(by, OPENED)
        thing = thing_in(row)
        last = _moves().filter(claim=row).last()
        event = last.event if last is not None else row.event
        what = worded("claim {pk} about {name}", pk=row.pk, name=thing.name)
        this.said = {"kind": event.kind, "words": f"{what}: {last.state}" if last else what, "claim": row.pk}
        this.write(bike=row.event.bike, corrects=event)
        if last is None:
            row.proofs.all().delete()
            if row.event.said.get("off_the_board"):
                _hang(thing, True)


@one_look()
def claims(today: date) -> tuple[ClaimView, ...]:
    """Return every claim that stands: what is due first, then what is open, then what is over, the newest first."""
    rows = list(_rows().order_by("-pk"))
    known = known_of_things(today) if rows else {}
    moves: dict[int, list[ClaimMove]] = {}
    for move in _moves().filter(claim__in=rows):
        moves.setdefault(move.claim_id, []).append(move)
    photos: dict[int, list[int]] = {}
    shown = ProofPhoto.objects.filter(claim__in=rows).order_by("pk")
    for photo, claim in shown.values_list("pk", "claim"):
        photos.setdefault(claim, []).append(photo)
    seen = [_view(row, moves.get(row.pk, []), photos.get(row.pk, []), known, today) for row in rows]
    return tuple(sorted(seen, key=lambda one: (one.is_over, not one.is_due, one.due or date.max)))


def claim_by_id(claim: int, today: date) -> ClaimView:
    """Return one claim as it stands.

    Raises:
        NotFound: There is none, or it was taken back.
    """
    row = _row(claim)
    thing = thing_in(row)
    found = warranty_of(thing, today)
    known = {(thing.kind, thing.id): found} if found is not None else {}
    photos = list(row.proofs.order_by("pk").values_list("pk", flat=True))
    return _view(row, list(_moves().filter(claim=row)), photos, known, today)


def _rows() -> QuerySet[Claim]:
    rows = Claim.objects.filter(event__corrected_by__isnull=True)
    return rows.select_related("event__by", "event__bike", "part", "tool", "instrument")


def _row(claim: int) -> Claim:
    row = _rows().filter(pk=claim).first()
    if row is None:
        raise NotFound(
            worded(
                "There is no claim {claim}: it may have been taken back. Choose one of the list.", claim=claim
            )
        )
    return row


def _moves() -> QuerySet[ClaimMove]:
    """Every word about claims that stands, the oldest first."""
    rows = ClaimMove.objects.filter(event__corrected_by__isnull=True)
    return rows.select_related("event__by").order_by("pk")


def _view(
    row: Claim,
    moves: Sequence[ClaimMove],
    photos: Sequence[int],
    known: Mapping[tuple[str, int], WarrantyView],
    today: date,
) -> ClaimView:
    thing = thing_in(row)
    state = moves[-1].state if moves else OPEN
    due = moves[-1].answer_by if moves else None
    return ClaimView(
        id=row.pk,
        kind=thing.kind,
        thing=thing.id,
        name=thing.name,
        tag=thing.tag,
        broke=row.broke,
        day=row.day,
        by=row.event.by.name,
        state=state,
        due=due,
        is_due=state == OPEN or (due is not None and due <= today),
        words=tuple(ClaimWord(one.state, one.words, one.event.at, one.event.by.name) for one in moves),
        photos=tuple(photos),
        warranty=known.get((thing.kind, thing.id)),
    )


def _said(this: Act) -> Mapping[str, object]:
    return this.said if isinstance(this.said, dict) else {}


def _hang(thing: Thing, up: bool) -> bool:
    """Take a tool or an instrument off the board, or hang it again; whether that changed anything."""
    if thing.kind == "part":
        return False
    rows = (Tool if thing.kind == "tool" else Instrument)._default_manager.filter(pk=thing.id)
    return bool(rows.exclude(in_use=up).update(in_use=up))
