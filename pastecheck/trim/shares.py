"""
Openings made smaller to a share of their area: in closed form where there is one, solved exactly elsewhere.

What is solved is solved for all distinct shapes at once: what is left of an area shrinks as its walls move.
"""

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.openings import GeometryArray
from pastecheck.trim.floors import CUT_MM2, ROUND
from pastecheck.trim.offsets import walls_drawn_in
from pastecheck.trim.solving import solved
from pastecheck.trim.table import with_sides_moved


def factor_of_share(sides_mm: FloatArray, radius_mm: FloatArray, share: float) -> FloatArray:
    """
    By what both sides of rectangles are multiplied, so that this share of their area is left. Shape (k,).

    Corners keep their radius as far as there is room, and round ends stay round, as `Changed` has them:

        f2 l w - (4 - pi) r2 = share x area,  and with round ends, r = f w / 2,  f2 (l w - (4 - pi) w2 / 4)

    Args:
        sides_mm: Length and width. Shape (k, 2).
        radius_mm: Of their corners. Shape (k,).
        share: More than 0, and at most 1.

    Example:
        >>> factor_of_share(np.array([[2.0, 1.0]]), np.array([0.0]), 0.81)
        array([0.9])
    """
    length_mm, width_mm = sides_mm.T
    box_mm2 = length_mm * width_mm
    wanted_mm2 = share * (box_mm2 - CUT_MM2 * radius_mm**2)
    kept = np.sqrt((wanted_mm2 + CUT_MM2 * radius_mm**2) / box_mm2)
    round_ends = np.sqrt(wanted_mm2 / (box_mm2 - CUT_MM2 * width_mm**2 / 4))
    has_room = (radius_mm < width_mm / 2 * ROUND) & (kept * width_mm / 2 >= radius_mm)
    factor: FloatArray = np.minimum(np.where(has_room, kept, round_ends), 1.0)
    return factor


def insets_of_share(outline: GeometryArray, share: float) -> FloatArray:
    """
    How far all walls of outlines are drawn in, so that this share of the area is left. Shape (k,).

    Example:
        >>> insets_of_share(np.array([shapely.box(0, 0, 2, 1)]), 0.72).round(6)  # 1.8 x 0.8
        array([0.1])
    """
    area_mm2 = shapely.area(outline)
    widest_mm = np.sqrt(area_mm2 / np.pi)  # no disc within them is larger

    def left_mm2(by_mm: FloatArray) -> FloatArray:
        left: FloatArray = shapely.area(walls_drawn_in(outline, by_mm))
        return left

    return solved(left_mm2, share * area_mm2, widest_mm)


def insets_at_one_end(
    m: Measurements, rows: IntArray, axis: IntArray, end: IntArray, share: float
) -> FloatArray:
    """
    How far one side of openings is drawn in, so that this share of their area is left. Shape (k,).

    Args:
        m: The layer.
        rows: Openings, ascending. Shape (k,).
        axis: As of `Changed.inset_mm`: which two sides. Shape (k,).
        end: Which of the two. Shape (k,).
        share: More than 0, and at most 1.
    """
    some, at = m.some(rows), np.arange(len(rows))
    side_mm = np.column_stack([some.length_mm, some.width_mm])

    def left_mm2(by_mm: FloatArray) -> FloatArray:
        inset_mm = np.zeros((len(rows), 2, 2))
        inset_mm[at, axis, end] = by_mm
        openings = with_sides_moved(some, inset_mm)
        left: FloatArray = openings.shapes.area_mm2[openings.shape]
        return left

    return solved(left_mm2, share * some.area_mm2, side_mm[at, axis])
