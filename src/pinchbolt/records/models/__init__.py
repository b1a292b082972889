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
    Part,
    PartDescription,
    Peg,
    Trainer,
)
from pinchbolt.records.models.billing import Bill, BillBuyer, Paper, SentText, TaxRate
from pinchbolt.records.models.bins import BinPart
from pinchbolt.records.models.event import UNDONE, Event
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
from pinchbolt.records.models.owner import (
    ABOUT,
    BY_WAY,
    ERASED,
    Consent,
    Erasing,
    LookUp,
    Owner,
    OwnerWords,
    note_look_up,
    words_to_find,
)
from pinchbolt.records.models.people import Person, Role
from pinchbolt.records.models.photo import Photo
from pinchbolt.records.models.ride import Ride, RidePlace
from pinchbolt.records.models.tool import Instrument, InstrumentCheck, Tool, ToolCheck
from pinchbolt.records.models.wanted_parts import (
    WANTED_STATES,
    BinMove,
    EarlierTag,
    Supplier,
    SupplierPart,
    WantedMove,
    WantedPart,
)
from pinchbolt.records.models.workshop import Workshop

__all__ = [
    "ABOUT",
    "ALL_ALONG",
    "A_DAY",
    "BY_WAY",
    "DISPLAYED",
    "ERASED",
    "GONE_TO",
    "LOOK_ANSWERS",
    "SOURCES",
    "UNDONE",
    "WANTED_STATES",
    "Answer",
    "Bike",
    "Bill",
    "BillBuyer",
    "BinMove",
    "BinPart",
    "Bolt",
    "ComplaintClosed",
    "ComplaintTest",
    "Consent",
    "CornerCheck",
    "Display",
    "Distance",
    "DoneValue",
    "EarlierTag",
    "Erasing",
    "Event",
    "Finding",
    "Fitting",
    "Instrument",
    "InstrumentCheck",
    "Job",
    "Line",
    "ListCheck",
    "LookAnswer",
    "LookUp",
    "Marking",
    "NotSeen",
    "Owner",
    "OwnerWords",
    "Paper",
    "Part",
    "PartDescription",
    "Peg",
    "Person",
    "Photo",
    "Reading",
    "Ride",
    "RidePlace",
    "Role",
    "RoundTick",
    "SentText",
    "Supplier",
    "SupplierPart",
    "TaxRate",
    "ToldComplaint",
    "Tool",
    "ToolCheck",
    "Trainer",
    "WantedMove",
    "WantedPart",
    "Workshop",
    "note_look_up",
    "words_to_find",
]
