"""How a bike's history tells of each kind of act.

An act on a part keeps under `words` how the part is called, so that history need not look it up.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from pinchbolt.records.models import Event
from pinchbolt.workshop.common.table_words import fact_name, joint_name, limit_name, value_in_words

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
    return f"{words} Verdict: {verdict}."


def found(event: Event, beside: Beside) -> str:
    return _with_verdict(event.finding.words, event.finding.verdict)


def looked_at(event: Event, beside: Beside) -> str:
    """How many looks of a card were sound, found, not taken or not to be seen."""
    answers: dict[str, int] = {}
    looks = event.said.get("looks")
    for one in looks if isinstance(looks, list) else ():
        answers[str(one.get("answer"))] = answers.get(str(one.get("answer")), 0) + 1
    return f"looked at: {', '.join(f'{many} {answer}' for answer, many in answers.items())}"


def complaint_closed(event: Event, beside: Beside) -> str:
    return f"{event.said.get('complaint', 'complaint')}: cause found{', ' if event.said.get('words') else ''}{event.said.get('words', '')}"


def not_seen(event: Event, beside: Beside) -> str:
    row = event.notseen
    what = f"{row.part}, {limit_name(row.limit)}"
    return f"{what}: {row.why}{f' ({row.words})' if row.words else ''}{'; leaves without it' if row.leaves else ''}"


def line_done(event: Event, beside: Beside) -> str:
    return f"{beside.lines.get(event.said.get('line', 0), 'line')}: done"


def measured_off(event: Event, beside: Beside) -> str:
    return f"{_what(event)} measured off the bike over 24 pitches: {float(str(event.said.get('percent', 0))):.2f} %"


def wheel_measured(event: Event, beside: Beside) -> str:
    return f"{_what(event)}: rim, hub and lacing measured"


def wheel_read(event: Event, beside: Beside) -> str:
    row = event.wheelreading
    side, up = [one[0] for one in row.spokes], [one[1] for one in row.spokes]
    apart = f"{max(side) - min(side):.1f} mm side, {max(up) - min(up):.1f} mm up" if row.spokes else ""
    return f"{_what(event)} read at {len(row.spokes)} spokes: {apart}"


def spokes_plucked(event: Event, beside: Beside) -> str:
    many = len(event.spokesheard.pitches)
    return f"{_what(event)}: {many} spoke{'' if many == 1 else 's'} plucked"


def nipple_turned(event: Event, beside: Beside) -> str:
    row = event.nippleturn
    if not row.quarters:
        return f"{_what(event)}, spoke {row.spoke}: not turned after all"
    way = "tightened" if row.quarters > 0 else "loosened"
    many = abs(row.quarters)
    return f"{_what(event)}, spoke {row.spoke}: {way} by {many} quarter turn{'' if many == 1 else 's'}"


def spoke_broke(event: Event, beside: Beside) -> str:
    row = event.brokenspoke
    return f"{_what(event)}: {f'spoke {row.spoke}' if row.spoke else 'a spoke'} broke at the {row.at}"


def done_value(event: Event, beside: Beside) -> str:
    done = event.donevalue
    return f"{joint_name(done.joint)}: {'by hand' if done.done_n_m is None else f'{done.done_n_m:g} N·m'}"


def round_tick(event: Event, beside: Beside) -> str:
    return f"bolt round, {joint_name(event.roundtick.joint)}: {event.roundtick.words}"


def line_answered(event: Event, beside: Beside) -> str:
    return (
        f"{event.answer.line.words}: {'agreed' if event.answer.agreed else 'declined'} ({event.answer.how})"
    )


def line_act(words: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        return (
            f"{beside.lines.get(event.said.get('line', 0), 'line')}: {words} ({event.said.get('reason', '')})"
        )

    return told


def limit(event: Event, beside: Beside) -> str:
    limit = event.said.get("limit")
    return f"limit without a call now {limit}" if limit is not None else "we ask first from now on"


def asked_together(event: Event, beside: Beside) -> str:
    limit = event.said.get("limit")
    tags = event.said.get("tags")
    both = " and ".join(map(str, tags)) if isinstance(tags, list) else ""
    return f"asked together: {both}, {f'{limit} for all without a call' if limit is not None else 'we ask first'}"


def visit(event: Event, beside: Beside) -> str:
    day = event.said.get("day")
    return f"next visit agreed for {day}" if day else "no next visit is agreed any more"


def tried(event: Event, beside: Beside) -> str:
    return f"owner not reached, {event.said.get('how', '')}"


def billed(event: Event, beside: Beside) -> str:
    said = event.said
    takes_back = f", takes back {said['reverses']} ({said.get('reason', '')})" if said.get("reverses") else ""
    return f"bill {said.get('number')}: {said.get('total')} {said.get('currency')}{takes_back}"


def paid(event: Event, beside: Beside) -> str:
    return f"{event.said.get('what', 'paid')}: {event.said.get('amount')}, {event.said.get('how')}"


def undone(event: Event, beside: Beside) -> str:
    return f"taken back: {event.said.get('words') or event.said.get('kind', '')}"


def checked_in(event: Event, beside: Beside) -> str:
    return f"checked in: came back, {event.said['cause']}" if event.said.get("cause") else "checked in"


def promised(event: Event, beside: Beside) -> str:
    said = event.said
    before, now = (_moment(said.get(name)) for name in ("before", "promise"))
    return f"promise {f'{before} to ' if before else ''}{now or 'taken away'}, {said.get('why')}"


def _moment(text: object) -> str:
    if not text:
        return ""
    at = timezone.localtime(datetime.fromisoformat(str(text)))
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def told(event: Event, beside: Beside) -> str:
    return f"owner told of the promise, {event.said.get('how')}"


_PLACES = {"rack": "to the rack", "outside": "outside", "home": "home meanwhile", "away": "put away"}


def moved_to(event: Event, beside: Beside) -> str:
    return f"moved {_PLACES.get(str(event.said.get('to')), '')}{_behind(event.said.get('words'))}"


def _behind(words: object) -> str:
    return f": {words}" if words else ""


def swollen(event: Event, beside: Beside) -> str:
    return f"battery swollen, outside{_behind(event.said.get('words'))}"


def battery_gone(event: Event, beside: Beside) -> str:
    what = "battery looked at, not swollen" if event.said.get("was_sound") else "swollen battery gone"
    return f"{what}{_behind(event.said.get('where'))}"


def handed_on(event: Event, beside: Beside) -> str:
    return f"handed on to {event.said.get('to_name')}{_behind(event.said.get('note'))}"


def called_off(event: Event, beside: Beside) -> str:
    return f"called off, {event.said.get('reason')}{_behind(event.said.get('words'))}"


def tag_given(event: Event, beside: Beside) -> str:
    return f"tag {event.said.get('old')} lost, now {event.said.get('new')}"


def collector(event: Event, beside: Beside) -> str:
    return f"somebody else collects it: {event.said.get('how_known')}"


def reminded(event: Event, beside: Beside) -> str:
    return f"not collected yet, {event.said.get('step')}, {event.said.get('how')}"


def back_said(event: Event, beside: Beside) -> str:
    day = f" for {event.said['day']}" if event.said.get("day") else ""
    return f"call-back: {event.said.get('what')}{day}"


def not_collected(event: Event, beside: Beside) -> str:
    return f"not collected, {event.said.get('end')}{_behind(event.said.get('words'))}"


def paid_by(event: Event, beside: Beside) -> str:
    line = beside.lines.get(event.said.get("line", 0), "line")
    return f"{line}: paid by {event.said.get('payer')}{_behind(event.said.get('reason'))}"


def work_price(event: Event, beside: Beside) -> str:
    line, price = beside.lines.get(event.said.get("line", 0), "line"), event.said.get("price")
    return (
        f"{line}: work {f'at {price}' if price else 'by the menu again'}{_behind(event.said.get('reason'))}"
    )


def put_off(event: Event, beside: Beside) -> str:
    return f"{_lines(event)} put off to another day, about {event.said.get('day')}{_behind(event.said.get('words'))}"


def rest_taken(event: Event, beside: Beside) -> str:
    return f"{_lines(event)} of the stay before taken up"


def _lines(event: Event) -> str:
    said = event.said.get("lines")
    many = len(said) if isinstance(said, list | dict) else 0
    return f"{many} line{'s' if many != 1 else ''}"


def discounted(event: Event, beside: Beside) -> str:
    said = event.said
    off = f"{said['percent']} %" if said.get("percent") is not None else said.get("amount")
    return f"{said.get('kind')} {off}, {said.get('reason')}"


def part_wanted(event: Event, beside: Beside) -> str:
    return f"part wanted: {event.said.get('words')}"


def part_move(what: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        due = f", due {event.said['due']}" if event.said.get("due") else ""
        wanted = event.wantedmove.wanted.words if hasattr(event, "wantedmove") else "part"
        return f"{wanted}: {what}{due}{_behind(event.said.get('words'))}"

    return told


def photo(event: Event, beside: Beside) -> str:
    return f"photo, {event.said.get('about')}{_behind(event.said.get('words'))}"


def ring(event: Event, beside: Beside) -> str:
    return (
        "owner is rung before the work starts" if event.said.get("ring") else "owner need not be rung first"
    )


def call_back(event: Event, beside: Beside) -> str:
    return f"call-back {event.said.get('day', '')}: {event.said.get('reason', '')}"


def started(event: Event, beside: Beside) -> str:
    return f"work started on stand {event.said.get('stand')}"


def distance(event: Event, beside: Beside) -> str:
    """A distance as it was said: since the last stay, between two days, or so much a week."""
    said = event.said
    if said.get("km_a_week") is not None:
        return f"about {float(str(said['km_a_week'])):,.0f} km a week from {said.get('start')} to {said.get('end')}"
    if "distance_km" in said:
        return f"distance from {said.get('start')} to {said.get('end')}: {float(str(said['distance_km'])):,.0f} km"
    return f"distance since last time: {float(str(said.get('km', 0))):,.0f} km"


def display(event: Event, beside: Beside) -> str:
    said = event.said
    return f"display on {said.get('day')}: {said.get('what')} {float(str(said.get('value', 0))):,.0f}"


def own(what: str) -> Callable[[Event, Beside], str]:
    return lambda event, beside: f"{what} of its owner written down: {event.said.get('words', '')}"


def given_over(event: Event, beside: Beside) -> str:
    """Who it was is said in no event."""
    return f"somebody else's from {date.fromisoformat(event.said['day']):%d %b %Y} on"


def rides(event: Event, beside: Beside) -> str:
    return f"ride files taken in: {beside.rides.get(event.pk, 0):,} rides"


def placed(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} placed: {event.said.get('tag') or 'count for none'}"


def since(event: Event, beside: Beside) -> str:
    said = event.said
    since = (
        "as long as the owner has it"
        if said.get("all_along")
        else f"since {said.get('day') or 'nobody knows when'}"
    )
    return f"{'a part' if said.get('part') else 'its parts'} on the bike {since}, as the owner says"


def rides_moved(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} moved to the owner of {event.said.get('tag')}"


def rides_back(event: Event, beside: Beside) -> str:
    if event.said.get("whole_import"):
        return "an import of ride files taken back"
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} taken back"


def moved(event: Event, beside: Beside) -> str:
    day = f", on {event.said['day']}" if event.said.get("day") else ""
    return (
        f"{event.said.get('move', 'part')} of {event.said.get('out_of')} into {event.said.get('into')}{day}"
        f"{'; what was there is ' + str(event.said.get('lies') or 'with the owner') if event.said.get('taken_off') else ''}"
    )


def facts(event: Event, beside: Beside) -> str:
    return f"read off the bike: {_listed(event.said)}"


def _listed(said: Said) -> str:
    told = said.get("told") or said.get("facts")
    if not isinstance(told, Mapping) or not told:
        return "nothing"
    return ", ".join(
        f"{fact_name(name)} {'not known' if value is None else value_in_words(name, value)}"
        for name, value in sorted(told.items())
    )


def _what(event: Event) -> str:
    """How the part is called: as the act says, else as the part that was described, else by its number."""
    if event.said.get("words"):
        return str(event.said["words"])
    described = getattr(event, "partdescription", None)
    return str(described.part) if described else f"part {event.said.get('part', '')}".strip()


def added(event: Event, beside: Beside) -> str:
    what = event.said.get("words") or f"{event.said.get('end', '')} {event.said.get('kind', 'part')}".strip()
    return f"{what} put on the build sheet{', was on the bike before' if event.said.get('was_there') else ''}"


_GONE = {"bins": "to the bins", "owner": "to the owner", "scrap": "to scrap"}


def replaced(event: Event, beside: Beside) -> str:
    gone = _GONE.get(str(event.said.get("gone_to")), "")
    return f"{_what(event)} replaced{f'; the old one {gone}' if gone else ''}"


def taken_off(event: Event, beside: Beside) -> str:
    gone = str(event.said.get("gone_to"))
    if gone == "never there":
        return f"{_what(event)} struck off the build sheet: it never was there"
    return f"{_what(event)} taken off{f', {_GONE[gone]}' if gone in _GONE else ''}"


def described(event: Event, beside: Beside) -> str:
    return f"{_what(event)}, {event.said.get('source', 'said')}: {_listed(event.said)}"


def corner(event: Event, beside: Beside) -> str:
    return f"{event.said.get('corner') or 'the whole bike'}: looked at, the parts are as shown"


def limit_marked(event: Event, beside: Beside) -> str:
    said = event.said
    return f"{_what(event)}: marked {float(str(said.get('value', 0))):g} {said.get('unit', '')} for {limit_name(str(said.get('limit', '')))}"


def warranty(event: Event, beside: Beside) -> str:
    said = event.said
    told = [f"bought {said['bought']}"] if said.get("bought") else []
    told += ["covered for life"] if said.get("for_life") else []
    told += [f"{said['months']} months"] if said.get("months") else []
    return f"warranty{': ' if told else ''}{', '.join(told)}"


def claim(event: Event, beside: Beside) -> str:
    return f"claim: {event.said.get('name', '')}{_behind(event.said.get('broke'))}"


def claim_move(event: Event, beside: Beside) -> str:
    return f"claim {event.said.get('claim')} {event.said.get('state')}{_behind(event.said.get('words'))}"


def marking(event: Event, beside: Beside) -> str:
    said = event.said
    values = [
        f"{words} {float(str(said[name])):g}"
        for name, words in (("least_n_m", "at least"), ("greatest_n_m", "at most"), ("target_n_m", "to use"))
        if said.get(name) is not None
    ]
    named = (joint_name(str(said["joint"])) if said.get("joint") else "", str(said.get("part") or ""))
    on = ", ".join(one for one in named if one)
    value = f": {', '.join(values)} N·m" if values else ""
    return f"marking read{f', {on}' if on else ''}{value}"
