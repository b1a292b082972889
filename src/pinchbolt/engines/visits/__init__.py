"""Visits: which bike is asked back in which week, as the room of the weeks lets it."""

from pinchbolt.engines.visits._smooth import plan_of_weeks, week_cost, weeks_allowed
from pinchbolt.engines.visits.visits_types import AskedBack, BikeDue, WeeksPlan

__all__ = ["AskedBack", "BikeDue", "WeeksPlan", "plan_of_weeks", "week_cost", "weeks_allowed"]
