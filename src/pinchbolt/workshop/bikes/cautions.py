"""Cautions, printed where they bite: the rows of the table, by what is on the bike."""

from pinchbolt.engines.build import Build
from pinchbolt.engines.build import cautions_at as rows_at
from pinchbolt.engines.build import cautions_for as rows_for
from pinchbolt.records.models import Bike
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.workshop.bikes.battery import SWOLLEN, is_swollen
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.trade_tables import tables


def marking_wins() -> str:
    """Return the caution that stands on every sheet."""
    return tables().cautions["marking-wins"].words


def cautions(bike: Bike) -> tuple[str, ...]:
    """Return the cautions that this bike's parts bring up, the general one first."""
    words = tuple(row.words for row in rows_for(build_of(bike)))
    return (*words[:1], SWOLLEN, *words[1:]) if is_swollen(bike) else words


def cautions_at(joint: JointRow, build: Build) -> tuple[str, ...]:
    """Return the cautions that bite at one joint of a bike: bars, brakes, carbon, e-bike drive."""
    return tuple(row.words for row in rows_at(build, joint))
