"""Texts to the owner, ready to paste: what is asked, the reminder, what was found on the stand. And that the owner was tried.

The figures are those of the askings, "at most" is always said, and what was sent is kept apart from its event, so that it
goes when the owner is erased.
"""

from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Job, SentText
from pinchbolt.values.money import money_sum
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop, terms
from pinchbolt.workshop.acts.shop_words import shop_words
from pinchbolt.workshop.acts.state import jobs_here, still_open
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate, line_words

REACHED_BY = ("phone", "text", "e-mail", "letter")
_MOST_LETTERS, _NAMED = 600, 3
# The alphabet of a text message (3GPP TS 23.038, 6.2.1, from memory); any other letter makes all letters twice as long.
_PLAIN = set(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿"
    "abcdefghijklmnopqrstuvwxyzäöñüà"
)
_OWN_WORDS = {
    "asking": "asking",
    "all their bikes": "asking",
    "reminder": "reminder",
    "found on the stand": "found",
}
_TWICE = set("^{}\\[~]|€\f")
_OURS = str.maketrans({"“": '"', "”": '"', "’": "'", "–": "-", "×": "x", "\N{NO-BREAK SPACE}": " "})


@dataclass(frozen=True, slots=True)
class TextDraft:
    """A text to paste; `letters` counts it and `parts` is how many messages it takes."""

    kind: str
    text: str
    letters: int
    parts: int


@dataclass(frozen=True, slots=True)
class TextRequest:
    """A text that was sent, and how: text, e-mail, letter, phone."""

    job: int
    kind: str
    text: str
    how: str = "text"


@dataclass(frozen=True, slots=True)
class NotReachedRequest:
    """The owner was tried and not reached: how."""

    job: int
    how: str = "phone"


NOT_REACHED = as_kept("tried, not reached")


@dataclass(frozen=True, slots=True)
class TryView:
    """A try to reach the owner that failed, or a text that went out."""

    what: str
    how: str
    at: datetime
    by: str


def send_text(request: TextRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that a text went to the owner, with its words.

    Raises:
        InputRefused: No text, too long, or an unknown way.
        NotPossibleNow: The job is closed.
    """
    with act("text sent", by=by, key=key, now=now, request=request, private=("text",)) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        _known_way(request.how)
        short(request.kind, "kind", worded("The kind of text"), 40)
        text = short(request.text, "text", worded("The text"), _MOST_LETTERS, needed=True)
        SentText.objects.create(event=this.write(job=job), text=text)


def try_owner(request: NotReachedRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that the owner was tried and not reached.

    Raises:
        InputRefused: An unknown way.
        NotPossibleNow: The job is closed.
    """
    with act("owner tried", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        _known_way(request.how)
        this.write(job=job)


def tries_of(job: Job) -> tuple[TryView, ...]:
    """Return when the owner was tried or written to, in order."""
    rows = (
        Event.objects.filter(job=job, kind__in=("owner tried", "text sent"), corrected_by__isnull=True)
        .select_related("by")
        .order_by("pk")
    )
    what = {"owner tried": NOT_REACHED, "text sent": "text sent"}
    return tuple(TryView(what[row.kind], str(row.said.get("how", "")), row.at, row.by.name) for row in rows)


def owner_texts(job: Job, today: date) -> tuple[TextDraft, ...]:
    """Return the drafts that fit where the job stands: nothing before the owner was asked."""
    seen = estimate(job, today)
    if not seen.askings:
        return ()
    waiting = [line for line in seen.lines if line.asking and not line.answer]
    drafts = []
    if waiting and not seen.agreed.lines:
        drafts = [
            _draft("asking", _asking(job, seen, waiting)),
            _draft("reminder", _reminder(job, seen, waiting)),
        ]
    elif waiting:
        drafts = [
            _draft("found on the stand", _further(job, seen, waiting)),
            _draft("reminder", _reminder(job, seen, waiting)),
        ]
    together = _together(job, seen, today)
    return (*drafts, _draft("all their bikes", together)) if together else tuple(drafts)


def _together(job: Job, seen: EstimateView, today: date) -> str:
    """One text for all bikes of this owner that wait for a word: a sum each and one total; "" where it is this bike alone."""
    others = jobs_here().filter(bike__owner=job.bike.owner_id).exclude(pk=job.pk).select_related("bike")
    asked = [(job, seen), *((one, estimate(one, today)) for one in others)]
    waiting = [
        (one, [line for line in view.lines if line.asking and not line.answer and not line.let_off])
        for one, view in asked
    ]
    waiting = [(one, lines) for one, lines in waiting if lines]
    if len(waiting) < 2 or waiting[0][0] is not job:
        return ""
    each = "; ".join(
        f"{one.bike.tag}: {_named(lines)}, {money_of_shop(money_sum(line.money.total for line in lines))}"
        for one, lines in waiting
    )
    every = [line for _, lines in waiting for line in lines]
    total, most = (money_sum(getattr(line.money, name) for line in every) for name in ("total", "high_total"))
    return worded(
        "{name} about your {waiting} bikes. {each}. Together {total}, at most {most}. Reply "
        "for each bike ALL, NONE or which ones. We start nothing before you "
        "answer.{questions}",
        name=terms().name,
        waiting=len(waiting),
        each=each,
        total=money_of_shop(total),
        most=money_of_shop(most),
        questions=_questions(),
    )


def text_parts(text: str) -> int:
    """Return how many messages a text takes: 160 letters, or 153 each of several; 70 and 67 with letters outside the alphabet.

    Source: 3GPP TS 23.038 and 23.040 (from memory).
    """
    plain = all(letter in _PLAIN or letter in _TWICE for letter in text)
    units = (
        sum(2 if letter in _TWICE else 1 for letter in text) if plain else len(text.encode("utf-16-le")) // 2
    )
    one, each = (160, 153) if plain else (70, 67)
    return 1 if units <= one else -(-units // each)


def _draft(kind: str, text: str) -> TextDraft:
    """A draft with the shop's own words at its end, where it has any."""
    own = shop_words(_OWN_WORDS[kind])
    text = (f"{text} {own}" if own else text).translate(_OURS)
    return TextDraft(kind, text, len(text), text_parts(text))


def _asking(job: Job, seen: EstimateView, lines: list[LineView]) -> str:
    must, wait = [x for x in lines if x.rank >= 3], [x for x in lines if x.rank < 3]
    said = [
        worded(
            "{name} about {tag}, your {words}.",
            name=terms().name,
            tag=job.bike.tag,
            words=job.bike.words or worded("bike"),
        )
    ]
    said += [worded("Needed before you ride: {named}.", named=_named(must))] if must else []
    said += (
        [
            worded("Can wait: {named}.", named=_named(wait))
            if must
            else worded("We propose: {named}.", named=_named(wait))
        ]
        if wait
        else []
    )
    said.append(
        worded(
            "All of it {sums}{taxes}. Reply ALL, NONE or which ones.",
            sums=_sums(seen),
            taxes=worded(", tax included") if seen.priced.taxes else "",
        )
    )
    said.append(worded("We start nothing before you answer.{questions}", questions=_questions()))
    return " ".join(said)


def _reminder(job: Job, seen: EstimateView, lines: list[LineView]) -> str:
    last = seen.askings[-1]
    said = [
        worded(
            "{name}: we wait for your word on {tag}, asked {day}.",
            name=terms().name,
            tag=job.bike.tag,
            day=_day(local_day(last.at)),
        )
    ]
    unsafe = [line for line in lines if line.rank == 4]
    said += (
        [
            worded(
                "Please do not ride it: {finding_words}",
                finding_words=unsafe[0].finding_words or unsafe[0].words,
            ).rstrip(".")
            + "."
        ]
        if unsafe
        else []
    )
    until = worded("; prices hold until {day}", day=_day(last.holds_until)) if last.holds_until else ""
    said.append(
        worded("We propose: {named}{until}. Reply ALL, NONE or which ones.", named=_named(lines), until=until)
    )
    said.append(worded("Without an answer we change nothing and keep it dry for you."))
    return " ".join(said)


def _further(job: Job, seen: EstimateView, lines: list[LineView]) -> str:
    agreed = seen.agreed
    said = [
        worded(
            "{name}: {tag} is in work. New since you agreed {total}: {named}.",
            name=terms().name,
            tag=job.bike.tag,
            total=money_of_shop(agreed.total),
            named=_named(lines),
        )
    ]
    more = sum((line.money.total for line in lines), agreed.total)
    most = sum((line.money.high_total for line in lines), agreed.high_total)
    said.append(
        worded(
            "That makes {more}, at most {most}. Reply YES or NO.",
            more=money_of_shop(more),
            most=money_of_shop(most),
        )
    )
    said.append(
        worded("Until then we go on with what you agreed, nothing else.{questions}", questions=_questions())
    )
    return " ".join(said)


def _named(lines: list[LineView]) -> str:
    """The first few with their prices, and how many more there are."""
    first = ", ".join(f"{line_words(line)} {money_of_shop(line.money.price)}" for line in lines[:_NAMED])
    left = lines[_NAMED:]
    more = money_of_shop(sum((line.money.price for line in left[1:]), left[0].money.price)) if left else ""
    return worded("{first} and {left} more {more}", first=first, left=len(left), more=more) if left else first


def _sums(seen: EstimateView) -> str:
    saved = (
        worded(" (shared work {saved} counted)", saved=money_of_shop(-seen.priced.saved))
        if seen.priced.saved
        else ""
    )
    return worded(
        "{total}{saved}, at most {high_total}",
        total=money_of_shop(seen.priced.total),
        saved=saved,
        high_total=money_of_shop(seen.priced.high_total),
    )


def _questions() -> str:
    return worded(" Questions: {phone}", phone=terms().phone) if terms().phone else ""


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _known_way(how: str) -> None:
    if how not in REACHED_BY:
        sentence = worded(
            'The owner was tried by "{how}": {reached_by}. Choose one.',
            how=how[:20],
            reached_by=", ".join(REACHED_BY),
        )
        raise InputRefused(sentence, {"how": sentence})
