"""How a bike's history tells of each kind of act.

An act on a part keeps under `words` how the part is called, so that history need not look it up.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from pinchbolt.records.models import Event
from pinchbolt.values.ahead import day_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop
from pinchbolt.workshop.common.table_words import fact_name, joint_name, limit_name, value_in_words
from pinchbolt.workshop.common.what_was_new import with_new

Said = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Beside:
    """What the words need besides the event, looked up once: lines of the bike's jobs by id, rides by the event that brought them."""

    lines: Mapping[int, str]
    rides: Mapping[int, int]


def reading(event: Event, beside: Beside) -> str:
    """The verdict of a reading stands in the reading's own line."""
    found = event.reading.finding if hasattr(event.reading, "finding") else None
    return _with_verdict(found.words, found.verdict) if found else "reading taken"


def _with_verdict(words: str, verdict: str) -> str:
    return worded("{words} Verdict: {verdict}.", words=words, verdict=verdict)


def found(event: Event, beside: Beside) -> str:
    return _with_verdict(event.finding.words, event.finding.verdict)


def looked_at(event: Event, beside: Beside) -> str:
    """How many looks of a card were sound, found, not taken or not to be seen."""
    answers: dict[str, int] = {}
    looks = event.said.get("looks")
    for one in looks if isinstance(looks, list) else ():
        answers[str(one.get("answer"))] = answers.get(str(one.get("answer")), 0) + 1
    return worded(
        "looked at: {answers}", answers=", ".join(f"{many} {answer}" for answer, many in answers.items())
    )


def complaint_closed(event: Event, beside: Beside) -> str:
    return worded(
        "{complaint}: cause found{words}{said_words}",
        complaint=event.said.get("complaint", "complaint"),
        words=", " if event.said.get("words") else "",
        said_words=event.said.get("words", ""),
    )


def not_seen(event: Event, beside: Beside) -> str:
    row = event.notseen
    what = f"{row.part}, {limit_name(row.limit)}"
    return f"{what}: {row.why}{(f' ({row.words})' if row.words else '')}{(worded('; leaves without it') if row.leaves else '')}"


def line_done(event: Event, beside: Beside) -> str:
    line = beside.lines.get(event.said.get("line", 0), "line")
    return with_new(worded("{get}: done", get=line), event.said)


def measured_off(event: Event, beside: Beside) -> str:
    return worded(
        "{what} measured off the bike over 24 pitches: {percent:.2f} %",
        what=part_called(event),
        percent=float(str(event.said.get("percent", 0))),
    )


def wheel_measured(event: Event, beside: Beside) -> str:
    return worded("{what}: rim, hub and lacing measured", what=part_called(event))


def wheel_read(event: Event, beside: Beside) -> str:
    row = event.wheelreading
    side, up = [one[0] for one in row.spokes], [one[1] for one in row.spokes]
    apart = (
        worded("{side:.1f} mm side, {up:.1f} mm up", side=max(side) - min(side), up=max(up) - min(up))
        if row.spokes
        else ""
    )
    return worded(
        "{what} read at {spokes} spokes: {apart}",
        what=part_called(event),
        spokes=len(row.spokes),
        apart=apart,
    )


def spokes_plucked(event: Event, beside: Beside) -> str:
    many = len(event.spokesheard.pitches)
    return worded(
        "{what}: {many} spoke{s} plucked", what=part_called(event), many=many, s="" if many == 1 else "s"
    )


def nipple_turned(event: Event, beside: Beside) -> str:
    row = event.nippleturn
    if not row.quarters:
        return worded("{what}, spoke {spoke}: not turned after all", what=part_called(event), spoke=row.spoke)
    way = "tightened" if row.quarters > 0 else "loosened"
    many = abs(row.quarters)
    return worded(
        "{what}, spoke {spoke}: {way} by {many} quarter turn{s}",
        what=part_called(event),
        spoke=row.spoke,
        way=way,
        many=many,
        s="" if many == 1 else "s",
    )


def spoke_broke(event: Event, beside: Beside) -> str:
    row = event.brokenspoke
    return worded(
        "{what}: {spoke} broke at the {at}",
        what=part_called(event),
        spoke=worded("spoke {spoke}", spoke=row.spoke) if row.spoke else worded("a spoke"),
        at=row.at,
    )


def done_value(event: Event, beside: Beside) -> str:
    done = event.donevalue
    return f"{joint_name(done.joint)}: {(worded('by hand') if done.done_n_m is None else f'{done.done_n_m:g} N·m')}"


def round_tick(event: Event, beside: Beside) -> str:
    return worded(
        "bolt round, {joint}: {words}", joint=joint_name(event.roundtick.joint), words=event.roundtick.words
    )


def line_answered(event: Event, beside: Beside) -> str:
    line = beside.lines.get(event.answer.line_id, event.answer.line.words)
    said = worded("agreed") if event.answer.agreed else worded("declined")
    return f"{line}: {said} ({event.answer.how})"


def line_act(words: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        return (
            f"{beside.lines.get(event.said.get('line', 0), 'line')}: {words} ({event.said.get('reason', '')})"
        )

    return told


def limit(event: Event, beside: Beside) -> str:
    limit = event.said.get("limit")
    return (
        worded("limit without a call now {limit}", limit=money(limit))
        if limit is not None
        else worded("we ask first from now on")
    )


def asked_together(event: Event, beside: Beside) -> str:
    limit = event.said.get("limit")
    tags = event.said.get("tags")
    both = worded(" and ").join(map(str, tags)) if isinstance(tags, list) else ""
    return worded(
        "asked together: {both}, {limit}",
        both=both,
        limit=worded("{limit} for all without a call", limit=money(limit))
        if limit is not None
        else worded("we ask first"),
    )


def visit(event: Event, beside: Beside) -> str:
    day = event.said.get("day")
    return (
        worded("next visit agreed for {day}", day=in_words(day))
        if day
        else worded("no next visit is agreed any more")
    )


def tried(event: Event, beside: Beside) -> str:
    return worded("owner not reached, {how}", how=event.said.get("how", ""))


def billed(event: Event, beside: Beside) -> str:
    said = event.said
    takes_back = (
        worded(", takes back {said} ({reason})", said=said["reverses"], reason=said.get("reason", ""))
        if said.get("reverses")
        else ""
    )
    return worded(
        "bill {number}: {total}{takes_back}",
        number=said.get("number"),
        total=money(said.get("total"), str(said.get("currency") or "")),
        takes_back=takes_back,
    )


def paid(event: Event, beside: Beside) -> str:
    return f"{event.said.get('what', 'paid')}: {money(event.said.get('amount'))}, {event.said.get('how')}"


def undone(event: Event, beside: Beside) -> str:
    return worded("taken back: {words}", words=event.said.get("words") or event.said.get("kind", ""))


def checked_in(event: Event, beside: Beside) -> str:
    return (
        worded("checked in: came back, {said}", said=event.said["cause"])
        if event.said.get("cause")
        else "checked in"
    )


def promised(event: Event, beside: Beside) -> str:
    said = event.said
    before, now = (_moment(said.get(name)) for name in ("before", "promise"))
    return worded(
        "promise {before}{now}, {why}",
        before=worded("{before} to ", before=before) if before else "",
        now=now or worded("taken away"),
        why=said.get("why"),
    )


def _moment(text: object) -> str:
    if not text:
        return ""
    at = timezone.localtime(datetime.fromisoformat(str(text)))
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def told(event: Event, beside: Beside) -> str:
    return worded("owner told of the promise, {how}", how=event.said.get("how"))


_PLACES = {"rack": worded("to the rack"), "outside": "outside", "home": "home meanwhile", "away": "put away"}


def moved_to(event: Event, beside: Beside) -> str:
    return worded(
        "moved {get}{behind}",
        get=_PLACES.get(str(event.said.get("to")), ""),
        behind=behind(event.said.get("words")),
    )


def in_words(day: object) -> str:
    """A day of an act, kept as 2026-11-25, as people write it; what is no day stays as it was said."""
    try:
        return day_words(date.fromisoformat(str(day)))
    except ValueError:
        return "" if day is None else str(day)


def money(amount: object, currency: str = "") -> str:
    """An amount of an act as the shop writes it, in its own currency or the one that was said."""
    return "" if amount is None else money_of_shop(Decimal(str(amount)), currency)


def behind(words: object) -> str:
    return f": {words}" if words else ""


def swollen(event: Event, beside: Beside) -> str:
    return worded("battery swollen, outside{behind}", behind=behind(event.said.get("words")))


def battery_gone(event: Event, beside: Beside) -> str:
    what = (
        worded("battery looked at, not swollen")
        if event.said.get("was_sound")
        else worded("swollen battery gone")
    )
    return f"{what}{behind(event.said.get('where'))}"


def handed_on(event: Event, beside: Beside) -> str:
    return worded(
        "handed on to {to_name}{behind}",
        to_name=event.said.get("to_name"),
        behind=behind(event.said.get("note")),
    )


def called_off(event: Event, beside: Beside) -> str:
    return worded(
        "called off, {reason}{behind}",
        reason=event.said.get("reason"),
        behind=behind(event.said.get("words")),
    )


def tag_given(event: Event, beside: Beside) -> str:
    return worded("tag {old} lost, now {new}", old=event.said.get("old"), new=event.said.get("new"))


def collector(event: Event, beside: Beside) -> str:
    return worded("somebody else collects it: {how_known}", how_known=event.said.get("how_known"))


def reminded(event: Event, beside: Beside) -> str:
    return worded("not collected yet, {step}, {how}", step=event.said.get("step"), how=event.said.get("how"))


def back_said(event: Event, beside: Beside) -> str:
    day = worded(" for {said}", said=in_words(event.said["day"])) if event.said.get("day") else ""
    return worded("call-back: {what}{day}", what=event.said.get("what"), day=day)


def not_collected(event: Event, beside: Beside) -> str:
    return worded(
        "not collected, {end}{behind}", end=event.said.get("end"), behind=behind(event.said.get("words"))
    )


def paid_by(event: Event, beside: Beside) -> str:
    line = beside.lines.get(event.said.get("line", 0), "line")
    return worded(
        "{line}: paid by {payer}{behind}",
        line=line,
        payer=event.said.get("payer"),
        behind=behind(event.said.get("reason")),
    )


def work_price(event: Event, beside: Beside) -> str:
    line, price = beside.lines.get(event.said.get("line", 0), "line"), event.said.get("price")
    return worded(
        "{line}: work {price}{behind}",
        line=line,
        price=worded("at {price}", price=money(price)) if price else worded("by the menu again"),
        behind=behind(event.said.get("reason")),
    )


def put_off(event: Event, beside: Beside) -> str:
    return worded(
        "{lines} put off to another day, about {day}{behind}",
        lines=_lines(event),
        day=in_words(event.said.get("day")),
        behind=behind(event.said.get("words")),
    )


def rest_taken(event: Event, beside: Beside) -> str:
    return worded("{lines} of the stay before taken up", lines=_lines(event))


def _lines(event: Event) -> str:
    said = event.said.get("lines")
    many = len(said) if isinstance(said, list | dict) else 0
    return worded("{many} line{s}", many=many, s="s" if many != 1 else "")


def discounted(event: Event, beside: Beside) -> str:
    said = event.said
    off = f"{said['percent']} %" if said.get("percent") is not None else money(said.get("amount"))
    return f"{said.get('kind')} {off}, {said.get('reason')}"


def part_wanted(event: Event, beside: Beside) -> str:
    return worded("part wanted: {words}", words=event.said.get("words"))


def part_move(what: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        due = worded(", due {said}", said=in_words(event.said["due"])) if event.said.get("due") else ""
        wanted = event.wantedmove.wanted.words if hasattr(event, "wantedmove") else "part"
        return f"{wanted}: {what}{due}{behind(event.said.get('words'))}"

    return told


def photo(event: Event, beside: Beside) -> str:
    return worded(
        "photo, {about}{behind}", about=event.said.get("about"), behind=behind(event.said.get("words"))
    )


def ring(event: Event, beside: Beside) -> str:
    return (
        worded("owner is rung before the work starts")
        if event.said.get("ring")
        else worded("owner need not be rung first")
    )


def call_back(event: Event, beside: Beside) -> str:
    return worded(
        "call-back {day}: {reason}",
        day=in_words(event.said.get("day", "")),
        reason=event.said.get("reason", ""),
    )


def started(event: Event, beside: Beside) -> str:
    return worded("work started on stand {stand}", stand=event.said.get("stand"))


def listed(said: Said) -> str:
    told = said.get("told") or said.get("facts")
    if not isinstance(told, Mapping) or not told:
        return worded("nothing")
    return ", ".join(
        f"{fact_name(name)} {worded('not known') if value is None else value_in_words(name, value)}"
        for name, value in sorted(told.items())
    )


def part_called(event: Event) -> str:
    """How the part is called: as the act says, else as the part that was described, else by its number."""
    if event.said.get("words"):
        return str(event.said["words"])
    described = getattr(event, "partdescription", None)
    return (
        str(described.part) if described else worded("part {part}", part=event.said.get("part", "")).strip()
    )
