"""Everything the workshop writes down.

Things that are (person, owner, bike, part, tool) may be put right in place. Things that were said, read or done are
events: they are only ever added, a correction is a new event that names the old one (see `event.py`).
"""

from pinchbolt.records.models.bike import (
    GONE_TO,
    SOURCES,
    Bike,
    CornerCheck,
    Distance,
    Fitting,
    Owner,
    Part,
    PartDescription,
    Trainer,
)
from pinchbolt.records.models.billing import Bill, Paper, SentText, TaxRate
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
from pinchbolt.records.models.people import Person, Role
from pinchbolt.records.models.ride import Ride, RidePlace
from pinchbolt.records.models.tool import Instrument, InstrumentCheck, Tool, ToolCheck
from pinchbolt.records.models.workshop import Workshop

__all__ = [
    "GONE_TO",
    "SOURCES",
    "Answer",
    "Bike",
    "Bill",
    "BinPart",
    "Bolt",
    "CornerCheck",
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
    "Marking",
    "NotSeen",
    "Owner",
    "Paper",
    "Part",
    "PartDescription",
    "Person",
    "Reading",
    "Ride",
    "RidePlace",
    "Role",
    "RoundTick",
    "SentText",
    "TaxRate",
    "Tool",
    "ToolCheck",
    "Trainer",
    "Workshop",
]
