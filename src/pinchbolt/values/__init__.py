"""Plain value types that every room may use. Imports nothing of ours."""

from pinchbolt.values.plain import DaySpread, Interval, Reason, Spread, Verdict

__all__ = ["DaySpread", "Interval", "Reason", "Spread", "Verdict"]
