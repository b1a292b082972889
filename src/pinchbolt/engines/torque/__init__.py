"""Door of the torque engine: what a joint accepts, where to set a tool, and what a done value says. Torque in N·m."""

from pinchbolt.engines.torque._key_sizes import (
    KeyLimits,
    SizeState,
    SocketLimits,
    key_state,
    six_lobe_limits,
    socket_state,
    weak_keys,
)
from pinchbolt.engines.torque.bolt_stress import (
    BoltJudged,
    BoltSpec,
    Preparation,
    greatest_for_reuse,
    judge_bolt,
    preparation_by_spread,
)
from pinchbolt.engines.torque.certificate import deviation_at
from pinchbolt.engines.torque.extension import delivered, extended_setting
from pinchbolt.engines.torque.many import coverage, settings_of_many, windows_of_many
from pinchbolt.engines.torque.order import Before, OnSheet, SheetLine, SheetOrder, sheet_order
from pinchbolt.engines.torque.preload import (
    LongForm,
    preload_by_long_form,
    preload_by_nut_factor,
    share_of_proof,
    stress_area,
)
from pinchbolt.engines.torque.rechecks import due_within, first_ride, monthly, whole_round
from pinchbolt.engines.torque.refusals import ConflictInJoint, NoSafeSetting
from pinchbolt.engines.torque.safe_window import (
    applied,
    counts_as_untested,
    deviation_on,
    finest_deviation,
    is_overdue,
    lowest_tested,
    settings,
)
from pinchbolt.engines.torque.setting import best_setting, guard_upper, judge_done
from pinchbolt.engines.torque.sheets import NO_TOOL, SheetsOfMany, sheets_of_many
from pinchbolt.engines.torque.spoken import parse_marking, parse_torque, torque_in, unit_named
from pinchbolt.engines.torque.tool_checks import (
    CalibrationPoint,
    TorqueToolRecord,
    TorqueToolState,
    bench_check,
    tool_state,
)
from pinchbolt.engines.torque.torque_types import (
    DoneJudged,
    Governs,
    JointSpec,
    JointWindow,
    LimitKind,
    Setting,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
)
from pinchbolt.engines.torque.window import window

__all__ = [
    "NO_TOOL",
    "Before",
    "BoltJudged",
    "BoltSpec",
    "CalibrationPoint",
    "ConflictInJoint",
    "DoneJudged",
    "Governs",
    "JointSpec",
    "JointWindow",
    "KeyLimits",
    "LimitKind",
    "LongForm",
    "NoSafeSetting",
    "OnSheet",
    "Preparation",
    "Setting",
    "SheetLine",
    "SheetOrder",
    "SheetsOfMany",
    "SizeState",
    "SocketLimits",
    "ToolSpec",
    "TorqueMarking",
    "TorqueRange",
    "TorqueToolRecord",
    "TorqueToolState",
    "applied",
    "bench_check",
    "best_setting",
    "counts_as_untested",
    "coverage",
    "delivered",
    "deviation_at",
    "deviation_on",
    "due_within",
    "extended_setting",
    "finest_deviation",
    "first_ride",
    "greatest_for_reuse",
    "guard_upper",
    "is_overdue",
    "judge_bolt",
    "judge_done",
    "key_state",
    "lowest_tested",
    "monthly",
    "parse_marking",
    "parse_torque",
    "preload_by_long_form",
    "preload_by_nut_factor",
    "preparation_by_spread",
    "settings",
    "settings_of_many",
    "share_of_proof",
    "sheet_order",
    "sheets_of_many",
    "six_lobe_limits",
    "socket_state",
    "stress_area",
    "tool_state",
    "torque_in",
    "unit_named",
    "weak_keys",
    "whole_round",
    "window",
    "windows_of_many",
]
