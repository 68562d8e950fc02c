"""Direction of the long side of outlines, by the turned bounding rectangle of smallest area."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import offsets

GeometryArray = NDArray[np.object_]

_TIE = 1e-9
_HULLS_APART = 10.0
"""More than a full turn: keys of one hull's sides never reach the next one's."""


class LongSides(NamedTuple):
    """The turned bounding rectangle. Shape (s,) each."""

    width_mm: FloatArray
    length_mm: FloatArray
    direction_rad: FloatArray
    """Of the long side, in [0, pi); of a square of either. NaN for a disc."""


def long_sides(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> LongSides:
    """
    Sides and direction of the turned bounding rectangle that `width.turned_rectangles` measures.

    The same rectangle by the same rule of ties; there it is found by trying all corners on all sides, here by
    rotating calipers: the corner farthest in a direction is where the sides turn past it, so it is found by
    bisection among the headings of the sides, for all hulls at once.

    Args:
        core: Points, lines or polygons, in mm. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).
        tolerance_mm: How far each can be from the true outline: rectangles are tied within it. Shape (s,).

    Cost:
        v log v for v vertices of hulls together.
    """
    hull = shapely.convex_hull(core)
    dimension = shapely.get_dimensions(hull)
    width, length = 2 * radius_mm, 2 * radius_mm
    direction = np.full(len(core), np.nan)
    lines, polygons = np.flatnonzero(dimension == 1), np.flatnonzero(dimension == 2)
    ends = shapely.get_coordinates(hull[lines]).reshape(-1, 2, 2)
    way = ends[:, 1] - ends[:, 0]
    length[lines] += np.hypot(*way.T)
    direction[lines] = np.arctan2(way[:, 1], way[:, 0])
    if len(polygons):
        found = _of_hulls(
            shapely.orient_polygons(hull[polygons]), radius_mm[polygons], tolerance_mm[polygons]
        )
        width[polygons], length[polygons], direction[polygons] = found
    direction = np.mod(direction, np.pi)
    direction[direction == np.pi] = 0.0  # the remainder of a tiny negative angle is rounded up to pi
    return LongSides(width, length, direction)


def _of_hulls(hull: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> LongSides:
    """Of convex polygons, counter-clockwise."""
    corner, of_hull = shapely.get_coordinates(hull, return_index=True)
    closing = np.diff(of_hull, append=-1) != 0
    side = np.diff(corner, axis=0, append=0.0)[~closing]
    corner, of_hull = corner[~closing], of_hull[~closing]
    count = np.bincount(of_hull, minlength=len(hull))
    begin = offsets(count)[:-1]
    unit = side / np.hypot(*side.T)[:, None]
    turned = _turned(unit, begin, count)
    key = of_hull * _HULLS_APART + turned

    def farthest(quarters: int) -> FloatArray:
        """For each side, the corner farthest in its heading turned left by so many quarters."""
        wanted = np.mod(turned + (quarters + 1) * np.pi / 2, 2 * np.pi)
        row = np.searchsorted(key, of_hull * _HULLS_APART + wanted)
        row = np.where(row >= (begin + count)[of_hull], begin[of_hull], row)
        corners: FloatArray = corner[row]
        return corners

    left = np.column_stack([-unit[:, 1], unit[:, 0]])
    grown = 2 * radius_mm[of_hull]
    along = ((farthest(0) - farthest(2)) * unit).sum(axis=1) + grown
    across = ((farthest(1) - corner) * left).sum(axis=1) + grown
    short, long = np.minimum(along, across), np.maximum(along, across)
    smallest = np.minimum.reduceat(short * long, begin)[of_hull]
    tied = short * long <= smallest * (1 + _TIE) + 4 * tolerance_mm[of_hull] * (short + long)
    best = np.lexsort((np.where(tied, short, np.inf), of_hull))[begin]
    heading = np.arctan2(unit[best, 1], unit[best, 0]) + np.where(along[best] >= across[best], 0.0, np.pi / 2)
    return LongSides(short[best], long[best], heading)


def _turned(unit: FloatArray, begin: IntArray, count: IntArray) -> FloatArray:
    """By how much each side of a hull is turned from its first. Ascending along each hull."""
    before = np.roll(unit, 1, axis=0)
    turn = np.arctan2(before[:, 0] * unit[:, 1] - before[:, 1] * unit[:, 0], (before * unit).sum(axis=1))
    turn = np.maximum(turn, 0.0)  # a hull turns left only; rounding may say otherwise
    turn[begin] = 0.0
    total = np.cumsum(turn)
    turned: FloatArray = np.minimum(total - np.repeat(total[begin], count), 2 * np.pi)
    return turned
