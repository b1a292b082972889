"""A bike's looks as tables of figures, made once for all its plans."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.look.look_types import LookSheet

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class SheetArrays:
    """Looks by faults, openings and one another; `doors` are the sets of openings that some looks need, `behind` those looks."""

    sees: Array
    seconds: Array
    needs: Flags
    opening: Array
    after: Flags
    station: NDArray[np.int64]
    doors: Flags
    behind: Flags
    harm: Array
    money: Array


def arrays_of(sheet: LookSheet) -> SheetArrays:
    """Make the tables of a bike."""
    many, faults = len(sheet.looks), len(sheet.faults)
    at = {one.id: number for number, one in enumerate(sheet.openings)}
    sees, after = np.zeros((many, faults)), np.zeros((many, many), dtype=bool)
    needs = np.zeros((many, len(at)), dtype=bool)
    for number, look in enumerate(sheet.looks):
        for name, chance in look.sees.items():
            sees[number, sheet.fault_at[name]] = chance
        needs[number, [at[name] for name in sheet.needs[number]]] = True
        after[number, [sheet.look_at[name] for name in look.after if name in sheet.look_at]] = True
    doors = np.unique(needs[needs.any(axis=1)], axis=0)
    return SheetArrays(
        sees,
        np.array([one.seconds for one in sheet.looks], dtype=float),
        needs,
        np.array([one.seconds for one in sheet.openings], dtype=float),
        after,
        np.array([sheet.station_at[one.station] for one in sheet.looks], dtype=np.int64),
        doors,
        np.array([~(needs & ~door).any(axis=1) for door in doors], dtype=bool).reshape(len(doors), many),
        np.array([one.harm for one in sheet.faults], dtype=float),
        np.array([one.money for one in sheet.faults], dtype=float),
    )
