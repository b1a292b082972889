"""Door of the torque engine: what a joint accepts, where to set a tool, and what a done value says. Torque in N·m."""

from pinchbolt.engines.torque.extension import delivered, extended_setting
from pinchbolt.engines.torque.guard import applied, deviation_on, finest_deviation, is_overdue, settings
from pinchbolt.engines.torque.preload import (
    LongForm,
    preload_by_long_form,
    preload_by_nut_factor,
    share_of_proof,
    stress_area,
)
from pinchbolt.engines.torque.refusals import ConflictInJoint, NoSafeSetting
from pinchbolt.engines.torque.setting import best_setting, guard_upper, judge_done
from pinchbolt.engines.torque.types import (
    DoneJudged,
    Governs,
    JointAsked,
    JointWindow,
    LimitKind,
    Marking,
    Setting,
    ToolAsked,
    TorqueRange,
)
from pinchbolt.engines.torque.window import window

__all__ = [
    "ConflictInJoint",
    "DoneJudged",
    "Governs",
    "JointAsked",
    "JointWindow",
    "LimitKind",
    "LongForm",
    "Marking",
    "NoSafeSetting",
    "Setting",
    "ToolAsked",
    "TorqueRange",
    "applied",
    "best_setting",
    "delivered",
    "deviation_on",
    "extended_setting",
    "finest_deviation",
    "guard_upper",
    "is_overdue",
    "judge_done",
    "preload_by_long_form",
    "preload_by_nut_factor",
    "settings",
    "share_of_proof",
    "stress_area",
    "window",
]
