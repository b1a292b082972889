"""Every act of the job screens: from which stage, where it is sent, with what, and whether the counter may do it."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils import timezone

from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.change_build import ReplaceRequest, replace
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.not_seen import NotSeenRequest, not_seen_of, say_not_seen
from pinchbolt.workshop.stays.payments import payments_of
from pinchbolt.workshop.stays.start_work import LineDoneRequest, finish_line
from pinchbolt.workshop.stays.walk_round import walk_round
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests.bench.job_screens.conftest import (
    Stage,
    asked_for,
    bill_back,
    deposited,
    gone,
    key,
    lines_of,
    looked_twice,
    ready,
    started,
    waits_for_part,
    with_brake_work,
)
from tests.kept_stages import kept
from tests.story import STEM, Story
from tests.workshop.build_story import part_on
from tests.workshop.wheels.wheel_story import (
    REAR,
    build_figures,
    measures,
    rear_of,
    wheel_figures,
    wheel_measured,
    wheel_parts,
    wheel_was_read,
)

Data = dict[str, object]


def stem_of(on: Story) -> int:
    """The number of the bike's stem."""
    return next(part.pk for part in parts_on(on.record.bike) if part.kind == "stem")


def as_it_is(on: Story) -> Story:
    """The bike as it arrived."""
    return on


def row_of(on: Story, limit: str, place: str = "") -> str:
    """The name of a reading's row on the page."""
    found = next(
        due
        for one in walk_round(on.record, timezone.now())
        for due in one.readings
        if due.limit == limit and due.part_place == place
    )
    return f"r{found.part}.{found.limit}"


def reading(on: Story) -> Data:
    """A rotor that a micrometer reads."""
    row = row_of(on, "rotor-thickness-1.8", "front")
    return {"row": row, f"{row}-value": "1.72"}


def fluid(on: Story) -> Data:
    """What stands on the lid of the lever, which decides the fluid's age."""
    asked = next(one for place in walk_round(on.record, timezone.now()) for one in place.asks)
    return {"part": asked.part, "fact": asked.question.fact, "answer": asked.question.choices[0]}


def chain_off(on: Story) -> Story:
    """The chain was changed at this stay."""
    replace(ReplaceRequest(off_chain(on)), by=on.first, key=on.key(), now=timezone.now())
    return on


def off_chain(on: Story) -> int:
    """The chain that came off, or that is on where none did."""
    off = job_card(on.record).off
    return off[0].part if off else next(part.pk for part in parts_on(on.record.bike) if part.kind == "chain")


def second_items(on: Story) -> list[str]:
    """The items that want a second look."""
    return [item.id for item in sign_off_list(on.record, timezone.now()).items if item.needs_second]


def with_pad_pin(on: Story) -> Story:
    """A pad pin, which no torque tool reaches down to, is on the sheet."""
    started(on)
    add_joint(AddJointRequest(on.job, "pad-pin:rear"), by=on.first, key=on.key(), now=timezone.now())
    return on


def chain_done(on: Story) -> Story:
    """The chain is on."""
    started(on)
    finish_line(LineDoneRequest(on.job, lines_of(on)["chain"]), by=on.first, key=on.key(), now=timezone.now())
    return on


def not_seen(on: Story) -> Story:
    """The frame's crack could not be looked for."""
    frame = part_on(on, "frame")
    asked = NotSeenRequest(on.job, frame.pk, "frame-crack")
    say_not_seen(asked, by=on.first, key=on.key(), now=timezone.now())
    return on


@dataclass(frozen=True, slots=True)
class Act:
    """One act. `data` is what a form of the page would send, without its mark."""

    name: str
    stage: Stage
    path: str
    data: Callable[[Story], Data]
    counter_may: bool = False

    def ready(self, on: Story) -> tuple[str, Data]:
        """Bring the bike to the stage; return address and entries with a fresh mark."""
        self.stage(on)
        return self.address(on), {"key": key(), **_entries(self.name, on)}

    def address(self, on: Story) -> str:
        """Where it is sent."""
        path = self.path.replace(REAR, str(rear_of(on))) if REAR in self.path else self.path
        return f"/job/{on.job}/{path}"


@kept
def _entries(act: str, on: Story) -> Data:
    """What a form of the page would send for the act of this name."""
    return next(one for one in ACTS if one.name == act).data(on)


ACTS = (
    Act("a reading", as_it_is, "walk-round/reading/", reading),
    Act("no fault by eye", as_it_is, "walk-round/rear-brake/nothing-found/", lambda on: {}),
    Act("a fact", as_it_is, "walk-round/front-brake/told/", fluid),
    Act("a corner as shown", as_it_is, "walk-round/front-brake/as-shown/", lambda on: {}),
    Act("the whole bike as shown", as_it_is, "sign-off/as-shown/", lambda on: {}),
    Act("something else", as_it_is, "walk-round/headset/found/", lambda on: {"words": "Bar tape torn.", "verdict": "next visit"}),
    Act("a line", as_it_is, "findings/line/", lambda on: {"operation": "chain", "finding": ""}, counter_may=True),
    Act("asking", asked_for, "estimate/ask/", lambda on: {}, counter_may=True),
    Act(
        "answers", asked_for, "estimate/answers/",
        lambda on: {f"answer-{line}": "agreed" for line in lines_of(on).values()} | {"how": "by phone"}, counter_may=True,
    ),
    Act("the next visit", asked_for, "estimate/visit/", lambda on: {"after": "91"}, counter_may=True),
    Act("a new limit", asked_for, "estimate/limit/", lambda on: {"limit": "80", "words": "Dov, by phone"}, counter_may=True),
    Act("not reached", asked_for, "estimate/tried/", lambda on: {"how": "phone"}, counter_may=True),
    Act("a text sent", asked_for, "estimate/text/", lambda on: {"kind": "asking", "text": "Reply ALL or NONE."}, counter_may=True),
    Act("giving a line back", started, "estimate/give-back/", lambda on: {"line": lines_of(on)["chain"], "reason": "no chain came"}),
    Act(
        "taking a line off the bill", chain_done, "estimate/let-off/",
        lambda on: {"line": lines_of(on)["chain"], "reason": "our own work again"},
    ),
    Act("taking a line off", asked_for, "estimate/take-off/", lambda on: {"line": lines_of(on)["chain"]}, counter_may=True),
    Act(
        "other parts", asked_for, "estimate/parts/",
        lambda on: {"line": lines_of(on)["chain"], "name-0": "chain, nickel", "each-0": "41.50", "count-0": "1"}, counter_may=True,
    ),
    Act("a stand", as_it_is, "work/stand/", lambda on: {"stand": "2"}),
    Act("setting aside", started, "work/aside/", lambda on: {"waits_for": "part", "words": "caliper bolts in tray 4"}, counter_may=True),
    Act("a part that came", lambda on: waits_for_part(started(on)), "work/arrived/", lambda on: {}),
    Act("a line done", started, "work/line/", lambda on: {"line": lines_of(on)["chain"]}),
    Act("a chain measured off", chain_off, "work/off/", lambda on: {"part": off_chain(on), "mm": "306.1"}),
    Act("another joint", started, "work/torque/add/", lambda on: {"joint": "top-cap"}),
    Act("a joint found out", started, "work/torque/told/", lambda on: {"part": stem_of(on), "fact": "face_bolts", "answer": "2"}),
    Act("a done value", started, f"work/torque/{STEM}/done/", lambda on: {"tool": tool_of(on), "done_n_m": "4.5", "set_n_m": "4.5"}),
    Act("by hand", with_pad_pin, "work/torque/pad-pin:rear/by-hand/", lambda on: {}),
    Act("a marking", started, f"work/torque/{STEM}/marking/", lambda on: {"part": "stem", "greatest_n_m": "5.5"}),
    Act("a target", started, f"work/torque/{STEM}/marking/", lambda on: {"part": "stem", "means": "target", "greatest_n_m": "4.5"}),
    Act("the bolt", started, f"work/torque/{STEM}/bolt/", lambda on: {"property_class": "8.8", "preparation": "dry"}),
    Act("a wheel measured", as_it_is, f"wheels/{REAR}/measured/", measures),
    Act("a wheel read", wheel_measured, f"wheels/{REAR}/read/", wheel_figures),
    Act("a nipple turned", wheel_was_read, f"wheels/{REAR}/turned/", lambda on: {"spoke": "5", "quarters": "-1"}),
    Act("a spoke broke", wheel_measured, f"wheels/{REAR}/broke/", lambda on: {"at": "elbow", "which_spoke": "3", "distance_km": "4200"}),
    Act("a build on the estimate", wheel_parts, f"wheels/{REAR}/build/line/", build_figures, counter_may=True),
    Act("a first look", started, "sign-off/looked/", lambda on: {"item": second_items(on)}),
    Act("signing off", looked_twice, "sign-off/sign/", lambda on: {}),
    Act("opening again", ready, "sign-off/open-again/", lambda on: {"words": "brake squeals"}),
    Act("leaving", ready, "handover/leave/", lambda on: {"taken_by": "Dov Ellenby"}, counter_may=True),
    Act("a deposit", as_it_is, "money/note/", lambda on: {"what": "deposit", "amount": "40", "how": "cash"}, counter_may=True),
    Act(
        "a note taken back", deposited, "money/note-back/", lambda on: {"payment": payments_of(on.record)[0].note}, counter_may=True,
    ),
    Act("a bill taken back", gone, "money/reverse/", lambda on: {"number": bill_of(on), "reason": "wrong owner"}, counter_may=True),
    Act("a new bill", bill_back, "money/bill/", lambda on: {"paid": "card"}, counter_may=True),
    Act("not met", with_brake_work, "sign-off/looked/", lambda on: {"item": second_items(on)[:1], "not_met": "1", "words": "lever soft"}),
    Act(
        "could not be seen", with_brake_work, "sign-off/looked/",
        lambda on: {"item": second_items(on)[:1], "unseen": "1", "words": "no light"},
    ),
    Act(
        "leaving without a look", not_seen, "sign-off/unseen/",
        lambda on: {"look": [one.id for one in not_seen_of(on.record)], "words": "taped"},
    ),
)  # fmt: skip


def bill_of(on: Story) -> str:
    """The number of the bill that stands."""
    return bills_of(on.record)[-1].number


def tool_of(on: Story) -> str:
    """The tool that the sheet names for the stem."""
    from pinchbolt.workshop.torque.torque_sheet import torque_sheet

    sheet = torque_sheet(on.record, timezone.localdate())
    setting = next(joint.setting for joint in sheet if joint.joint == STEM)
    assert setting is not None
    return setting.tool
