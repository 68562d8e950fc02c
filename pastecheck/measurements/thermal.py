"""Lands that carry heat away from below a part."""

from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.width import Sides
from pastecheck.lands import Lands
from pastecheck.ragged import distinct
from pastecheck.units import NM_PER_MM

LEAST_SIDE_MM: Final = 1.5
LEAST_MM2: Final = 3.0
"""Lands as wide and as large may carry heat (`common practice, no source`)."""

_LEADS_MM: Final = 2.5
"""Leads lie no farther from the edge of the land below their part."""
_MIRRORED_MM: Final = 0.1
_LIKE_MM: Final = 0.02
_LEAST_PAIRS: Final = 2
_ROUNDING: Final = 1e-9


def are_thermal(lands: Lands, sides: Sides, covered: BoolArray, openings: IntArray) -> BoolArray:
    """
    Which lands are large, and printed in panes or between the leads of their part. Shape (k,).

    Large lands of connectors and coils, or the tabs of parts with leads on one side, are none: they are
    printed as a whole, and nothing floats on them. Between leads is what has two pairs of like lands with
    openings about it, each the mirror of the other about its middle.

    Args:
        lands: k lands.
        sides: Of their distinct outlines.
        covered: Whether an opening is meant for each. Shape (k,).
        openings: How many openings are meant for each. Shape (k,).
    """
    pad = lands.pad
    large = sides.width_mm[pad] >= LEAST_SIDE_MM - _ROUNDING
    large &= lands.shapes.area_mm2[pad] >= LEAST_MM2 - _ROUNDING
    thermal = large & (openings > 1)
    single = np.flatnonzero(large & ~thermal)
    thermal[single] = _mirrored_pairs(lands, sides, covered, single) >= _LEAST_PAIRS
    return thermal


def _mirrored_pairs(lands: Lands, sides: Sides, covered: BoolArray, rows: IntArray) -> IntArray:
    """How many pairs of like lands lie opposite each other about the middles of some. Shape of the rows."""
    middle_mm, half_mm = _boxes(lands)
    others = np.flatnonzero(covered)
    if not len(rows) or not len(others):
        return np.zeros(len(rows), np.int64)
    tree = shapely.STRtree(np.asarray(shapely.points(middle_mm[others]), dtype=object))
    reach = half_mm[rows] + _LEADS_MM
    around = shapely.box(*(middle_mm[rows] - reach).T, *(middle_mm[rows] + reach).T)
    row, near = tree.query(around)
    near = others[near]
    smaller = lands.shapes.area_mm2[lands.pad[near]] < lands.shapes.area_mm2[lands.pad[rows[row]]] / 2
    row, near = row[smaller], near[smaller]
    mirrored = 2 * middle_mm[rows[row]] - middle_mm[near]
    at, opposite = tree.query(
        np.asarray(shapely.points(mirrored), dtype=object), predicate="dwithin", distance=_MIRRORED_MM
    )
    one, other = lands.pad[near[at]], lands.pad[others[opposite]]
    alike = np.abs(sides.width_mm[one] - sides.width_mm[other]) <= _LIKE_MM
    alike &= np.abs(sides.length_mm[one] - sides.length_mm[other]) <= _LIKE_MM
    found = distinct(at[alike])
    return np.bincount(row[found], minlength=len(rows)) // 2


def _boxes(lands: Lands) -> tuple[FloatArray, FloatArray]:
    """Middles, and half the sides, of the boxes about pads. Shape (k, 2) each."""
    box = lands.shapes.bounds_mm[lands.pad]
    origin_mm = np.column_stack([lands.pad_x_nm, lands.pad_y_nm]) / NM_PER_MM
    return origin_mm + (box[:, :2] + box[:, 2:]) / 2, (box[:, 2:] - box[:, :2]) / 2
