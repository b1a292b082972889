"""Everything the workshop writes down.

Things that are (person, owner, bike, part, tool) may be put right in place. Things that were said, read or done are
events: they are only ever added, a correction is a new event that names the old one (see `event.py`).
"""

from pinchbolt.records.models.bike import (
    A_DAY,
    ALL_ALONG,
    DISPLAYED,
    GONE_TO,
    SOURCES,
    Bike,
    CornerCheck,
    Display,
    Distance,
    Fitting,
    Owner,
    Part,
    PartDescription,
    Peg,
    Trainer,
)
from pinchbolt.records.models.billing import Bill, BillBuyer, Paper, SentText, TaxRate
from pinchbolt.records.models.bins import BinPart
from pinchbolt.records.models.event import Event
from pinchbolt.records.models.job import (
    Answer,
    Bolt,
    DoneValue,
    Finding,
    Job,
    Line,
    ListCheck,
    Marking,
    NotSeen,
    Reading,
    RoundTick,
)
from pinchbolt.records.models.look import (
    LOOK_ANSWERS,
    ComplaintClosed,
    ComplaintTest,
    LookAnswer,
    ToldComplaint,
)
from pinchbolt.records.models.people import Person, Role
from pinchbolt.records.models.ride import Ride, RidePlace
from pinchbolt.records.models.tool import Instrument, InstrumentCheck, Tool, ToolCheck
from pinchbolt.records.models.workshop import Workshop

__all__ = [
    "ALL_ALONG",
    "A_DAY",
    "DISPLAYED",
    "GONE_TO",
    "LOOK_ANSWERS",
    "SOURCES",
    "Answer",
    "Bike",
    "Bill",
    "BillBuyer",
    "BinPart",
    "Bolt",
    "ComplaintClosed",
    "ComplaintTest",
    "CornerCheck",
    "Display",
    "Distance",
    "DoneValue",
    "Event",
    "Finding",
    "Fitting",
    "Instrument",
    "InstrumentCheck",
    "Job",
    "Line",
    "ListCheck",
    "LookAnswer",
    "Marking",
    "NotSeen",
    "Owner",
    "Paper",
    "Part",
    "PartDescription",
    "Peg",
    "Person",
    "Reading",
    "Ride",
    "RidePlace",
    "Role",
    "RoundTick",
    "SentText",
    "TaxRate",
    "ToldComplaint",
    "Tool",
    "ToolCheck",
    "Trainer",
    "Workshop",
]
