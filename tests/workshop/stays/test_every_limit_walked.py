"""Every limit at every verdict on real bikes: template, walk-round, finding, line, job card, done, safety list.

Every limit is carried by one bike, every template has a bike. It is checked in as often as its limits have verdicts from "unsafe
to ride" to "keep an eye on it", and each is read so that it gives the next one. Each leads to its work, its refusal or its words;
all work of a limit is done and proved at the worst verdict that asks for it. What stands between a reading and its work is asked of
the use cases, never of the tables alone.
"""

from collections import defaultdict
from functools import cache

import pytest

from pinchbolt.engines.build import limits_on
from pinchbolt.engines.wear import judge_plain
from pinchbolt.records.models import Job, Workshop
from pinchbolt.reference import tables
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval, Verdict
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.usual import usual_range
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.mended import puts_right
from pinchbolt.workshop.stays.note_finding import FindingView
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.suggest import READ_AGAIN, advice, proposals_for, suggestions
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.stays.walk_round import ReadingDue, walk_round
from pinchbolt.workshop.torque.torque_sheet import joints_of
from tests import story
from tests.reference.templates_built import built
from tests.story import NOW, Story
from tests.workshop.build_story import add, describe, part_on

LIMITS = tables().limits
RISING = sorted(Verdict, key=lambda verdict: verdict.rank)
# Limits of parts and facts that no template has: what is told or added to a bike so that it carries them.
TOLD = {
    "chain-elongation-flat-top-large-roller": ("full-suspension", "chain", "", {"chain": "ch-12-flat-top"}),
    "rotor-thickness-2.3": ("full-suspension", "rotor", "front", {"rotor_new_mm": 2.3}),
    "brake-fluid-water-glycol": ("gravel-1x", "brake fluid", "front", {"fluid": "glycol"}),
    "brake-fluid-age-mineral": ("gravel-1x", "brake fluid", "rear", {"fluid": "mineral"}),
    "carbon-rim-track": ("road-rim", "rim", "front", {"material": "carbon"}),
    "shift-battery": ("road-disc", "shifters", "", {"shift_line": "radio"}),
}
ADDED = {"rim-tape": ("road-rim", "rim tape", "front"), "dynamo-wiring": ("tourer", "dynamo", "front")}
# Derived from the chain's own reading, and never asked by itself.
NEVER_ASKED = {"chain-elongation-gone-with-it"}


@cache
def carriers() -> dict[str, set[str]]:
    """The limits that each template's bike is walked for: each limit once, and no bike without one.

    A limit goes to the bike that can take most of them: few bikes, each with much to be read, are soon checked in.
    """
    asked_on: dict[str, set[str]] = {}
    for name, row in tables().templates.items():
        build = built(tables(), row, row.speeds[0])
        asked_on[name] = {one.row.id for part in build.parts for one in limits_on(build, part)}
    found: dict[str, set[str]] = {name: set() for name in asked_on}
    for limit, (template, *_) in (*TOLD.items(), *ADDED.items()):
        found[template].add(limit)
    left = set().union(*asked_on.values()) - set(TOLD) - set(ADDED) - NEVER_ASKED
    while left:
        most = max(asked_on, key=lambda name: len(asked_on[name] & left))
        found[most] |= asked_on[most] & left
        left -= found[most]
    for name, limits in found.items():
        if not limits:
            # One that has a single verdict, from a bike that keeps others.
            given = min(
                (limit for limit in asked_on[name] - set(TOLD) - set(ADDED) - NEVER_ASKED),
                key=lambda limit: (len(of_limit(limit)), limit),
            )
            limits.add(given)
    return found


@cache
def of_limit(limit: str) -> dict[Verdict, str | float]:
    """`readings` of a row by its id, worked once."""
    return readings(LIMITS[limit])


def readings(row: LimitRow) -> dict[Verdict, str | float]:
    """One reading for each verdict that a row can give by itself, within what such a part can show."""
    if row.direction == "flag":
        answers: list[str | float] = ["yes", "no"]
    elif row.steps:
        answers = [float(n) for n in range(len(row.steps))]
    else:
        least, most = usual_range(row)
        whole = row.unit in ("count", "chains", "strands broken")
        figures = [least + (most - least) * n / 200 for n in range(201)]
        answers = sorted({float(round(one)) if whole else round(one, 4) for one in figures})
    found: dict[Verdict, str | float] = {}
    for one in answers:
        verdict = judge_plain(row, one if isinstance(one, str) else Interval(one, one))[0]
        # The worst of a figure that gets one verdict is the one that no doubt of an instrument can soften.
        worse = verdict not in found or row.direction != "down"
        if worse or verdict is Verdict.SOUND:
            found[verdict] = one
    return found


def test_every_limit_is_carried_by_some_bike() -> None:
    """None is left out of the walk, and most verdicts of each can be read."""
    assert set().union(*carriers().values()) | NEVER_ASKED == set(LIMITS)
    for row in LIMITS.values():
        assert len(of_limit(row.id)) >= 2, row.id


def begun(template: str) -> Story:
    """A bike of a template, with what it is told and given besides."""
    there = story.checked_in(template)
    Workshop.objects.update(stands=9)
    for limit, (where, kind, end, facts) in TOLD.items():
        if where == template and limit in carriers()[template]:
            describe(there, part_on(there, kind, end), **facts)
    for limit, (where, kind, end) in ADDED.items():
        if where == template and limit in carriers()[template]:
            add(there, kind, end)
    return there


def read(there: Story, due: ReadingDue, shown: str | float) -> FindingView:
    """One reading, as the mechanic types it."""
    said = {"word": shown} if isinstance(shown, str) else {"value": shown}
    asked = ReadingRequest(there.job, due.part, due.limit, **said)  # type: ignore[arg-type]
    return take_reading(asked, by=there.first, key=there.key(), now=NOW).finding


def walked(there: Story, verdicts: dict[str, Verdict], proved: set[tuple[str, str]]) -> list[FindingView]:
    """One stay: every limit is read so that it gives its verdict, and what follows is done and proved.

    *proved*: limits with the work that was done for them at a worse verdict; that is not done again.
    """
    found, seen = [], set()
    with one_look():
        places = walk_round(there.record, NOW)
    for place in places:
        for due in place.readings:
            if due.limit in verdicts and due.limit not in seen:
                seen.add(due.limit)
                found.append(read(there, due, of_limit(due.limit)[verdicts[due.limit]]))
    with one_look():
        leads = lines_of(there, found)
    worked(there, found, leads, proved)
    return found


def lines_of(there: Story, found: list[FindingView]) -> dict[int, set[str]]:
    """What each finding leads to: operations and refusals; words at least. From its own verdict on none leads nowhere."""
    build = build_of(there.record.bike)
    asked, said = suggestions(there.record), advice(there.record)
    offered = {one.operation for one in asked}
    leads: dict[int, set[str]] = {}
    for one in found:
        assert one.part is not None
        rows = proposals_for(build, build.part(one.part), one.limit, one.rank)
        leads[one.id] = {row.operation for row in rows if row.operation in offered}
        leads[one.id] |= {
            refused.refusal for refused in said if refused.finding == one.id and refused.refusal
        }
        words = [told.why for told in said if told.finding == one.id]
        if one.rank == 0:
            continue
        assert leads[one.id] or words, (one.limit, one.verdict)
        if one.rank >= LIMITS[one.limit].at_limit.rank:
            assert leads[one.id] or words != [READ_AGAIN], (one.limit, one.verdict)
        if one.verdict == Verdict.UNSAFE:
            assert leads[one.id], (one.limit, one.verdict)
    return leads


def worked(
    there: Story, found: list[FindingView], leads: dict[int, set[str]], proved: set[tuple[str, str]]
) -> None:
    """All that is offered is agreed, carded, done; what it was for no longer stops the sign-off, what nothing mends does."""
    when, by = NOW, there.first
    lines = {}
    with one_look():
        offered = suggestions(there.record)
    limits = {one.id: one.limit for one in found}
    wanted = {(limits[finding], work) for finding, works in leads.items() for work in works}
    needed = {work for limit, work in wanted - proved}
    proved |= wanted
    for one in offered:
        if one.operation not in needed:
            continue
        asked = ProposeRequest(there.job, one.operation, one.finding)
        lines[propose(asked, by=by, key=there.key(), now=when).line] = one
    if lines:
        ask_owner(PriceRequest(there.job), by=by, key=there.key(), now=when)
        answer(AnswerRequest(there.job, dict.fromkeys(lines, True)), by=by, key=there.key(), now=when)
        start_work(StandRequest(there.job, Job.objects.count()), by=by, key=there.key(), now=when)
        with one_look():
            card, on_sheet = job_card(there.record), set(joints_of(there.record))
        assert {one.line for one in card.lines} == set(lines)
        for carded in card.lines:
            assert carded.steps and carded.checks and carded.minutes > 0, carded.words
            assert len(carded.parts) == len(lines[carded.line].parts)
        record = there.record
        for line in record.lines.filter(pk__in=lines):
            assert set(line.joints) <= on_sheet
            finish_line(LineDoneRequest(there.job, line.pk), by=by, key=there.key(), now=when)
    with one_look():
        listed = sign_off_list(there.record, when)
    for joint in {name for line in there.record.lines.all() for name in line.joints}:
        named = [item for item in listed.items if joint in item.open_joints]
        assert named or listed.stops, joint
    for one in found:
        if one.verdict == Verdict.UNSAFE:
            stands = any(one.words in stop for stop in listed.unsafe_declined)
            mends = any(puts_right(operation, one.limit) for operation in leads[one.id])
            assert stands is not mends, (one.limit, leads[one.id])


@pytest.mark.django_db
@pytest.mark.parametrize("template", tables().templates)
def test_each_reading_leads_to_its_work_and_is_mended_by_it(template: str) -> None:
    """As many stays as its limits have verdicts that are not sound: each is read so, and what follows is done and proved."""
    limits = carriers()[template]
    rising = {limit: sorted(set(of_limit(limit)) - {Verdict.SOUND}, key=RISING.index) for limit in limits}
    given: dict[str, set[Verdict]] = defaultdict(set)
    proved: set[tuple[str, str]] = set()
    for stay in range(max(map(len, rising.values()))):
        now = {limit: verdicts[-1 - stay] for limit, verdicts in rising.items() if stay < len(verdicts)}
        found = walked(begun(template), now, proved)
        assert {one.limit for one in found} == set(now)
        for one in found:
            given[one.limit].add(Verdict(one.verdict))
    # By the law of wear a doubtful figure may get a neighbour's verdict; its own worst verdict every row must reach.
    for limit in limits:
        worst = max(of_limit(limit), key=lambda verdict: verdict.rank)
        assert worst in given[limit], (limit, given[limit])
