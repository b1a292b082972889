"""When is it ready, and how likely is that? The shop's day ahead, played many times by its own rule."""

from pinchbolt.engines.day._ahead import ShopAhead, ShopTaught
from pinchbolt.engines.day._coming_in import ComingIn, learn_coming
from pinchbolt.engines.day._day_loops import make_quick
from pinchbolt.engines.day._hours import AtBikes, learn_at_bikes
from pinchbolt.engines.day._promise import (
    CALL_UNDER,
    JobOdds,
    is_grown,
    open_odds,
    promise_odds,
)
from pinchbolt.engines.day._runs import Played, play
from pinchbolt.engines.day._shrink import Shrunk, shrink
from pinchbolt.engines.day._stand_minutes import ENOUGH, StandMinutes, learn_minutes, longest
from pinchbolt.engines.day._waiting_days import DaysLearned, WaitsLearned, learn_days, learn_waiting
from pinchbolt.engines.day.day_types import (
    DAY,
    DoneJob,
    Hands,
    JobAhead,
    Odds,
    OtherOdds,
    PastJob,
    PromiseOdds,
    Wait,
)

__all__ = [
    "CALL_UNDER",
    "DAY",
    "ENOUGH",
    "AtBikes",
    "ComingIn",
    "DaysLearned",
    "DoneJob",
    "Hands",
    "JobAhead",
    "JobOdds",
    "Odds",
    "OtherOdds",
    "PastJob",
    "Played",
    "PromiseOdds",
    "ShopAhead",
    "ShopTaught",
    "Shrunk",
    "StandMinutes",
    "Wait",
    "WaitsLearned",
    "is_grown",
    "learn_at_bikes",
    "learn_coming",
    "learn_days",
    "learn_minutes",
    "learn_waiting",
    "longest",
    "make_quick",
    "open_odds",
    "play",
    "promise_odds",
    "shrink",
]
