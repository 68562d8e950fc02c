"""Narrow and long side of outlines: the turned bounding rectangle of smallest area."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import offsets

GeometryArray = NDArray[np.object_]

_TIE = 1e-9
"""Areas that differ by less, relatively, are equal: float arithmetic only."""

_HULLS_APART = 10.0
"""More than a full turn: keys of one hull's sides never reach the next one's."""


class Sides(NamedTuple):
    """The turned bounding rectangle, in mm. Shape (s,) each."""

    width_mm: FloatArray
    length_mm: FloatArray
    direction_rad: FloatArray
    """Of the long side, in [0, pi); of a square of either. NaN for a disc."""

    error_mm: FloatArray
    """How far the width can be above that of the true outline; below it, where rectangles are tied."""


def turned_rectangles(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Sides:
    """
    The turned bounding rectangle of smallest area; at a tie the one with the smaller short side.

    One side of it lies along a side of the convex hull. That holds for a hull with a radius too: where the
    derivative of (w + 2 r)(h + 2 r) by the angle is 0 between two such positions, w' and h' have opposite
    signs and the second derivative is negative, so there is no minimum in between.

    Sides are tried by rotating calipers: the corner farthest in a direction is where the sides turn past it,
    so it is found by bisection among the headings of the sides, for all hulls at once.

    Args:
        core: Points, lines or polygons, in mm. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).
        tolerance_mm: How far each can be from the true outline. Shape (s,).

    Returns:
        Sides; exact where the tolerance is 0. Else rectangles whose areas differ by less than the tolerance
        makes are tied as well, so that the true width is never farther below than the stated error.

    Cost:
        v log v for v vertices of hulls together.

    Source:
        A side lies along the hull: Freeman and Shapira, Communications of the ACM 18 (1975), 409-413
        (from memory; tested against turning in small steps).
    """
    hull = shapely.convex_hull(core)
    dimension = shapely.get_dimensions(hull)
    width, length, error = 2 * radius_mm, 2 * radius_mm, 2 * tolerance_mm
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
        width[polygons], length[polygons], direction[polygons], error[polygons] = found
    direction = np.mod(direction, np.pi)
    direction[direction == np.pi] = 0.0  # the remainder of a tiny negative angle is rounded up to pi
    return Sides(width, length, direction, error)


class _Tried(NamedTuple):
    """The rectangle along each side of each hull. Shape (v,) each."""

    of_hull: IntArray
    begin: IntArray
    """First side of each hull. Shape (s,)."""

    turned: FloatArray
    """By how much the side is turned from the first of its hull."""

    heading: FloatArray
    """Of the rectangle's long side."""

    short: FloatArray
    long: FloatArray


def _of_hulls(hull: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Sides:
    """Of convex polygons, counter-clockwise."""
    tried = _tried(hull, radius_mm)
    area = tried.short * tried.long
    smallest = np.minimum.reduceat(area, tried.begin)
    around = np.maximum.reduceat(tried.short + tried.long, tried.begin)
    # at any angle the sides together are at most sqrt 2 times those in any other; each is off by 2 tolerances
    slack = (2 + 2 * np.sqrt(2)) * tolerance_mm * around + 16 * tolerance_mm**2
    tied = area <= np.maximum(smallest * (1 + _TIE), smallest + slack)[tried.of_hull]
    best = np.lexsort((np.where(tied, tried.short, np.inf), tried.of_hull))[tried.begin]
    width = tried.short[best]
    least = np.minimum(width, _least_tied(tried, (smallest + slack)[tried.of_hull]))
    return Sides(width, tried.long[best], tried.heading[best], 2 * tolerance_mm + (width - least))


def _least_tied(tried: _Tried, largest_area: FloatArray) -> FloatArray:
    """
    The least that the short side of a rectangle, at any angle, of no more than an area can be. Shape (s,).

    Between two neighbouring sides, turned by quarters into one quarter, both sides of the rectangle are
    sines: the short one and the logarithm of the area are concave, neither is below its chord. So from a side
    whose rectangle is small enough, others that are reach no farther than to where the chord of the area
    passes the limit, and the short side falls by no more than its own chord does up to there.
    """
    order = np.lexsort((np.mod(tried.turned, np.pi / 2), tried.of_hull))
    after = np.arange(1, len(order) + 1)
    after[np.append(tried.begin[1:], len(order)) - 1] = tried.begin
    one, other = np.concatenate([order, order[after]]), np.concatenate([order[after], order])
    area = tried.short * tried.long
    rise = np.log(area[other] / area[one])
    left = np.log(largest_area[one] / area[one])
    part = np.divide(left, rise, out=np.ones(len(one)), where=rise > np.maximum(left, 0.0)).clip(0.0)
    fall = np.maximum(tried.short[one] - tried.short[other], 0.0) * part
    low = np.where(left >= 0, tried.short[one] - fall, np.inf)
    by_side = np.full(len(order), np.inf)
    np.minimum.at(by_side, one, low)
    least: FloatArray = np.minimum.reduceat(by_side, tried.begin)
    return least


def _tried(hull: GeometryArray, radius_mm: FloatArray) -> _Tried:
    corner, of_hull = shapely.get_coordinates(hull, return_index=True)
    closing = np.diff(of_hull, append=-1) != 0
    side = np.diff(corner, axis=0, append=0.0)[~closing]
    corner, of_hull = corner[~closing], of_hull[~closing]
    count = np.bincount(of_hull, minlength=len(hull))
    begin = offsets(count)[:-1]
    unit = side / np.hypot(*side.T)[:, None]
    turned = _turned(unit, begin, count)
    key = of_hull * _HULLS_APART + turned
    (corner_x, corner_y), (unit_x, unit_y) = corner.T.copy(), unit.T.copy()

    def reach(quarters: int) -> FloatArray:
        """How far the hull reaches in each side's heading turned left by so many quarters."""
        wanted = np.mod(turned + (quarters + 1) * np.pi / 2, 2 * np.pi)
        nth = np.searchsorted(key, of_hull * _HULLS_APART + wanted) - begin[of_hull]
        cos, sin = quarter_turns[quarters]
        ahead_x, ahead_y = cos * unit_x - sin * unit_y, cos * unit_y + sin * unit_x
        farthest = np.full(len(key), -np.inf)
        for near in (-1, 0, 1):  # rounding of the keys may point to a corner beside the one that is meant
            row = begin[of_hull] + (nth + near) % count[of_hull]
            np.maximum(farthest, corner_x[row] * ahead_x + corner_y[row] * ahead_y, out=farthest)
        return farthest

    quarter_turns = (1, 0), (0, 1), (-1, 0), (0, -1)
    grown = 2 * radius_mm[of_hull]
    along = reach(0) + reach(2) + grown
    across = reach(1) + reach(3) + grown
    heading = np.arctan2(unit_y, unit_x) + np.where(along >= across, 0.0, np.pi / 2)
    return _Tried(of_hull, begin, turned, heading, np.minimum(along, across), np.maximum(along, across))


def _turned(unit: FloatArray, begin: IntArray, count: IntArray) -> FloatArray:
    """By how much each side of a hull is turned from its first. Ascending along each hull."""
    before = np.roll(unit, 1, axis=0)
    turn = np.arctan2(before[:, 0] * unit[:, 1] - before[:, 1] * unit[:, 0], (before * unit).sum(axis=1))
    turn = np.maximum(turn, 0.0)  # a hull turns left only; rounding may say otherwise
    turn[begin] = 0.0
    total = np.cumsum(turn)
    turned: FloatArray = np.minimum(total - np.repeat(total[begin], count), 2 * np.pi)
    return turned
