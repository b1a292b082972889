"""One bike's way through an invented workshop, by the use cases alone, up to the stage that a test needs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from pinchbolt.engines.build import limits_on
from pinchbolt.records.models import Bike, Event, Instrument, Job, Part, Person, Tool, ToolCheck, Workshop
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.build_sheet import build_of, facts_of_bike, parts_on, sheet_of_bike
from pinchbolt.workshop.bikes.building import spread_facts
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, DescribeRequest, confirm_corner, describe
from pinchbolt.workshop.bikes.joint_names import joint_names
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    look_at_item,
    sign_off,
    sign_off_list,
)
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.suggest import suggestions
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.stays.walk_round import walk_round
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, DoneRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, joints_of, torque_sheet
from tests.kept_stages import kept

NOW = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
TODAY = NOW.date()
PASSPHRASE = "three plain words"

# Stem face of four bolts, marked 6 N·m, on a bar marked 5 N·m at most: the joint takes 4 to 5 N·m.
STEM = "stem-face-4"
MARKED = {"stem": 6.0, "handlebar": 5.0}
# What the instruments show on this bike, by limit row and end: intervals for a go/no-go gauge, values, yes and no.
SHOWN: dict[str, dict[str, object]] = {
    "chain-elongation-12to13": {"low": 0.5, "high": 0.75, "distance_km": 2900.0},
    "rotor-thickness-1.8 front": {"value": 1.62},
    "rotor-thickness-1.8 rear": {"value": 1.71},
    "disc-pad-lining-resin front": {"value": 1.4},
    "disc-pad-lining-resin rear": {"value": 0.45},
    "tyre-cut front": {"word": "no"},
    "tyre-cut rear": {"word": "yes"},
    "headset-play": {"word": "no"},
}


@dataclass(slots=True)
class Story:
    """A job and the two who work on it; `key` gives each act a mark of its own."""

    job: int
    tag: str
    first: int
    second: int
    marks: int = 0

    @property
    def record(self) -> Job:
        """The job as the use cases take it."""
        return job_by_id(self.job)

    def key(self) -> str:
        """A request mark that was not used yet."""
        self.marks += 1
        return f"story-{self.job:04d}-{self.marks:04d}"


def know(tag: str, facts: Mapping[str, Any]) -> None:
    """Let these facts, by the names of the fit rules, be all that is known of a bike's parts, read off them."""
    sheet = sheet_of_bike(Bike.objects.get(tag=tag))
    told = spread_facts(sheet.build, facts)
    for number, part in sheet.parts.items():
        part.start_facts = {
            name: [value, "read off the part"] for name, value in told.get(number, {}).items()
        }
        part.save(update_fields=["start_facts"])


def add_facts(tag: str, facts: Mapping[str, Any]) -> None:
    """Let these facts be known besides."""
    know(tag, {**known(tag), **facts})


def known(tag: str) -> dict[str, Any]:
    """What is known of a bike's parts, by the names of the fit rules."""
    return dict(facts_of_bike(Bike.objects.get(tag=tag)))


def joints_on(tag: str) -> list[str]:
    """The names of a bike's joints."""
    return joint_names(build_of(Bike.objects.get(tag=tag)))


def first_limit(tag: str, part: Part) -> str:
    """The first limit that is read on a part of a bike."""
    build = build_of(Bike.objects.get(tag=tag))
    on = build.part(part.pk)
    assert on is not None, f"{part} is not on {tag}"
    return limits_on(build, on)[0].row.id


def open_shop() -> tuple[Person, Person]:
    """A workshop with three stands, two mechanics, gauges and every torque tool of the table, all in date."""
    Workshop.objects.create(
        name="Mossgate Yard Workshop",
        town="Ostermere",
        labour_an_hour=Decimal("54.00"),
        tax_percent=Decimal("20"),
        stands=3,
        is_demo=True,
    )
    for row in ("chain-gauge-go-nogo", "caliper", "micrometer"):
        Instrument.objects.create(table_id=row, name=tables().instruments[row].name)
    ines = Person.objects.make("ines", "Ines Holloway", "mechanic", PASSPHRASE)
    tobias = Person.objects.make("tobias", "Tobias Quill", "mechanic", PASSPHRASE)
    for row in tables().torque_tools.values():
        _calibrated(Tool.objects.create(table_id=row.id, name=row.name), ines)
    return ines, tobias


def _calibrated(tool: Tool, by: Person) -> None:
    """An old certificate that still holds, well inside the tool's class: what was never tested counts as far out."""
    at = NOW - timedelta(days=700)
    event = Event.objects.create(
        at=at, by=by, kind="tool checked", key=f"hung-{tool.table_id}", fingerprint="", said={}
    )
    ToolCheck.objects.create(
        event=event, tool=tool, day=at.date(), due=NOW.date() + timedelta(days=365), deviation=0.01, good=True
    )


@kept
def checked_in(template: str = "road-disc", bike_words: str = "") -> Story:
    """The bike is here, and somebody saw that its bar is of aluminium."""
    ines, tobias = open_shop() if not Workshop.objects.exists() else Person.objects.order_by("pk")[:2]
    taken = check_in(
        CheckInRequest(
            template=template,
            bike_words=bike_words,
            owner_name="Dov Ellenby",
            owner_phone="01632 960123",
            owner_reach="text",
            owner_words="Chain is nearly new, but it slips under load. Needed for Saturday.",
            seen_words="Scratch on the left crank; bar tape torn.",
            left_with="one key, front light",
            spend_limit=Decimal("30"),
            promise=NOW + timedelta(days=2),
        ),
        by=ines.pk,
        key=f"check-in-{Job.objects.count():04d}",
        now=NOW,
    )
    story = Story(taken.job, taken.tag, ines.pk, tobias.pk)
    bars = [part for part in parts_on(story.record.bike) if part.kind == "handlebar"]
    for bar in bars:
        seen = DescribeRequest(bar.pk, {"material": "aluminium"})
        describe(seen, by=story.first, key=story.key(), now=NOW)
    return story


@kept
def walked_round(story: Story) -> Story:
    """Readings of `SHOWN` taken, and one thing found by eye."""
    for place in walk_round(story.record, NOW):
        for due in place.readings:
            shown = SHOWN.get(f"{due.limit} {due.part_place}".strip())
            if shown is None:
                continue
            instrument = due.instruments[0][0] if due.instruments else None
            asked = ReadingRequest(story.job, due.part, due.limit, instrument, **shown)  # type: ignore[arg-type]
            take_reading(asked, by=story.first, key=story.key(), now=NOW)
    note_finding(
        FindingRequest(story.job, "Bar tape torn at the right drop.", "next visit"),
        by=story.first,
        key=story.key(),
        now=NOW,
    )
    return story


@kept
def priced(story: Story) -> Story:
    """Every suggestion is a line, and the owner is asked."""
    for one in suggestions(story.record):
        propose(
            ProposeRequest(story.job, one.operation, one.finding), by=story.first, key=story.key(), now=NOW
        )
    ask_owner(PriceRequest(story.job), by=story.first, key=story.key(), now=NOW)
    return story


@kept
def answered(story: Story, *declined: str) -> Story:
    """The owner agrees to all lines but those of the operations in *declined*."""
    lines = story.record.lines.all()
    said = {line.pk: line.operation not in declined for line in lines}
    answer(AnswerRequest(story.job, said, "by phone"), by=story.first, key=story.key(), now=NOW)
    return story


@kept
def on_a_stand(template: str = "road-disc") -> Story:
    """The bike is here for a safety check, its owner agreed, and the work has begun."""
    story = checked_in(template)
    propose(ProposeRequest(story.job, "safety-check"), by=story.first, key=story.key(), now=NOW)
    ask_owner(PriceRequest(story.job), by=story.first, key=story.key(), now=NOW)
    answered(story)
    start_work(StandRequest(story.job, 1), by=story.first, key=story.key(), now=NOW)
    return story


@kept
def worked(story: Story, stand: int = 1) -> Story:
    """Work started, the stem's markings read, every joint done at its setting, every agreed line done."""
    start_work(StandRequest(story.job, stand), by=story.first, key=story.key(), now=NOW)
    for part, greatest in MARKED.items():
        asked = MarkingRequest(story.tag, STEM, part, greatest)
        read_marking(asked, by=story.first, key=story.key(), now=NOW)
    for name in (STEM, "thru-rear", "caliper-flat-mount:rear"):
        if name in joint_names(build_of(story.record.bike)) and name not in joints_of(story.record):
            add_joint(AddJointRequest(story.job, name), by=story.first, key=story.key(), now=NOW)
    for joint in torque_sheet(story.record, TODAY):
        if joint.by_hand:
            tighten_by_hand(
                DoneByHandRequest(story.job, joint.joint), by=story.second, key=story.key(), now=NOW
            )
            continue
        assert joint.setting is not None, joint.refused
        at = joint.setting.set
        asked_done = DoneRequest(story.job, joint.joint, int(joint.setting.tool), at, at)
        record_done(asked_done, by=story.second, key=story.key(), now=NOW)
    for line in story.record.lines.all():
        if line.answers.filter(agreed=True).exists():
            finish_line(LineDoneRequest(story.job, line.pk), by=story.first, key=story.key(), now=NOW)
    return story


@kept
def looked(story: Story) -> Story:
    """The bike as shown, every item met, the second look taken by the other mechanic."""
    confirm_corner(ConfirmRequest(story.tag), by=story.first, key=story.key(), now=NOW)
    items = sign_off_list(story.record, NOW).items
    everything = tuple(item.id for item in items)
    twice = tuple(item.id for item in items if item.needs_second)
    look_at_item(LookRequest(story.job, everything), by=story.first, key=story.key(), now=NOW)
    if twice:
        look_at_item(LookRequest(story.job, twice, second=True), by=story.second, key=story.key(), now=NOW)
    return story


@kept
def signed_off(story: Story) -> Story:
    """The list met, and signed off."""
    looked(story)
    sign_off(SignOffRequest(story.job), by=story.second, key=story.key(), now=NOW)
    return story


@kept
def handed_over(story: Story) -> Story:
    """The bike is gone, what was declined acknowledged."""
    hand_over(HandOverRequest(story.job, acknowledged=True), by=story.first, key=story.key(), now=NOW)
    return story
