"""Five jobs that a sheet must bear: one line, thirty lines, endless words, nothing known of the owner, an unsafe e-bike."""

from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, ends_of, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story

ENDLESS = "W" * 60
LONG = "Übergabebremsleitungsentlüftungswerkzeugkoffer " * 4


def line(at: Story, operation: str, place: str = "", words: str = "", *parts: LinePart) -> None:
    """A line, if the estimate does not have it yet."""
    asked = ProposeRequest(at.job, operation, None, words, parts or None, place)
    propose(asked, by=at.first, key=at.key(), now=NOW)


def every_operation(at: Story, most: int) -> None:
    """Lines of the menu at all ends, as far as they go."""
    build = build_of(at.record.bike)
    for operation in tables().operations.values():
        for place in ends_of(operation, build) if operation.at_place else ("",):
            if at.record.lines.count() >= most:
                return
            try:
                line(at, operation.id, place)
            except (InputRefused, NotPossibleNow):
                continue


@kept
def through(at: Story, *, declined: int = 0, stand: int = 1) -> Story:
    """Asked, answered (the first so many declined), worked, and gone as it is."""
    ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)
    lines = estimate(at.record).lines
    said = {one.id: number >= declined for number, one in enumerate(lines)}
    answer(AnswerRequest(at.job, said, "by phone"), by=at.first, key=at.key(), now=NOW)
    if declined < len(lines):
        start_work(StandRequest(at.job, stand), by=at.first, key=at.key(), now=NOW)
        for one in lines[declined:]:
            finish_line(LineDoneRequest(at.job, one.id, ()), by=at.first, key=at.key(), now=NOW)
    gone = HandOverRequest(at.job, acknowledged=True, as_unsafe=True)
    hand_over(gone, by=at.first, key=at.key(), now=NOW)
    return at


def five_jobs() -> dict[str, Story]:
    """The five, each gone, by its name."""
    short = story.checked_in(bike_words="carbon road bike")
    line(short, "chain")
    thirty = story.walked_round(story.checked_in())
    every_operation(thirty, 30)
    named = story.walked_round(story.checked_in(bike_words=LONG[:150]))
    Job.objects.filter(pk=named.job).update(owner_words=ENDLESS + " " + LONG, seen_words="A" * 110)
    named.record.bike.owner.__class__.objects.filter(pk=named.record.bike.owner_id).update(name=ENDLESS)
    for words in (ENDLESS, "A" * 110, LONG):
        line(
            named,
            "carrier-fix" if words == ENDLESS else "wash" if words[0] == "A" else "bike-pack",
            "",
            words,
            LinePart(words[:110], Decimal(12)),
        )
    bare = story.checked_in("child")
    Job.objects.filter(pk=bare.job).update(owner_words="", seen_words="", left_with="", promise=None)
    bare.record.bike.owner.__class__.objects.filter(pk=bare.record.bike.owner_id).update(phone="", reach="")
    line(bare, "bars-stem")
    unsafe = story.checked_in("city-ebike")
    for words in (
        "Battery case is swollen.",
        "Front brake lever comes to the bar.",
        "Fork steerer cracked at the crown.",
        "Rear tyre cut through.",
        "Left crank loose on its axle, and it has been ridden so for some time by what the bore looks like.",
        "Rear axle not seated.",
    ):
        note_finding(
            FindingRequest(unsafe.job, words, "unsafe to ride"), by=unsafe.first, key=unsafe.key(), now=NOW
        )
    for operation in ("bars-stem", "crank-bolts", "headset-adjust"):
        line(unsafe, operation)
    return {
        "one line": through(short),
        "thirty lines": through(thirty, declined=3, stand=2),
        "long names": through(named, stand=3),
        "nothing known": through(bare, stand=1),
        "unsafe e-bike": through(unsafe, declined=2, stand=1),
    }
