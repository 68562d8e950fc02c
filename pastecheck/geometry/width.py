"""Narrow and long side of outlines: the turned bounding rectangle of smallest area."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray

GeometryArray = NDArray[np.object_]

_TIE = 1e-9
"""Areas that differ by less, relatively, are equal: float arithmetic only."""

_CELLS_AT_ONCE = 4_000_000
_MANY_CORNERS = 200
"""Of a hull with more, only the corners are tried that can lie farthest in a direction."""


class Sides(NamedTuple):
    """Sides of the turned bounding rectangle, in mm. Shape (s,) each."""

    width_mm: FloatArray
    length_mm: FloatArray
    error_mm: FloatArray
    """How far the width can be above that of the true outline; below it, where rectangles are tied."""


def turned_rectangles(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Sides:
    """
    Sides of the turned bounding rectangle of smallest area; at a tie the one with the smaller short side.

    One side of it lies along a side of the convex hull. That holds for a hull with a radius too: where the
    derivative of (w + 2 r)(h + 2 r) by the angle is 0 between two such positions, w' and h' have opposite
    signs and the second derivative is negative, so there is no minimum in between.

    Args:
        core: Points, lines or polygons, in mm. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).
        tolerance_mm: How far each can be from the true outline. Shape (s,).

    Returns:
        Sides; exact where the tolerance is 0. Else rectangles whose areas differ by less than the tolerance
        makes are tied as well, so the width is never more than 2 x tolerance above that of the true outline.

    Source:
        A side lies along the hull: Freeman and Shapira, Communications of the ACM 18 (1975), 409-413
        (from memory; tested against turning in small steps).
    """
    hull = shapely.convex_hull(core)
    closed = shapely.get_dimensions(hull) == 2
    corners = shapely.get_num_coordinates(hull) - closed
    coordinates = shapely.get_coordinates(hull)
    start = np.concatenate([[0], np.cumsum(corners + closed)])[:-1]
    width, length, error = (np.zeros(len(core)) for _ in range(3))
    for count in np.unique(corners).tolist():
        rows = np.flatnonzero(corners == count)
        step = max(1, _CELLS_AT_ONCE // (count * min(count, _MANY_CORNERS)))
        for chunk in np.split(rows, range(step, len(rows), step)):
            corner = coordinates[start[chunk][:, None] + np.arange(count)]
            found = _of_hulls(corner, radius_mm[chunk], tolerance_mm[chunk])
            width[chunk], length[chunk], error[chunk] = found
    return Sides(width, length, error)


def _of_hulls(corner: FloatArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Sides:
    """Sides for hulls of equally many corners. corner: shape (m, k, 2)."""
    if corner.shape[1] == 1:
        return Sides(2 * radius_mm, 2 * radius_mm, 2 * tolerance_mm)
    side = np.roll(corner, -1, axis=1) - corner
    side /= np.hypot(side[..., 0], side[..., 1])[..., None]
    extent = _extent if corner.shape[1] <= _MANY_CORNERS else _extent_of_many
    along = extent(corner, side) + 2 * radius_mm[:, None]
    across = extent(corner, np.stack([-side[..., 1], side[..., 0]], axis=-1)) + 2 * radius_mm[:, None]
    short, long = np.minimum(along, across), np.maximum(along, across)
    area = short * long
    smallest = area.min(axis=1, keepdims=True)
    tied = area <= smallest * (1 + _TIE) + 4 * tolerance_mm[:, None] * (short + long)
    best = np.where(tied, short, np.inf).argmin(axis=1)[:, None]
    width = np.take_along_axis(short, best, axis=1)[:, 0]
    length = np.take_along_axis(long, best, axis=1)[:, 0]
    return Sides(width, length, 2 * tolerance_mm)


def _extent(corner: FloatArray, direction: FloatArray) -> FloatArray:
    """Extent of each hull in each of its directions. Shape (m, k)."""
    shadow = np.einsum("mpc,mdc->mdp", corner, direction)
    extent: FloatArray = np.ptp(shadow, axis=2)
    return extent


def _extent_of_many(corner: FloatArray, direction: FloatArray) -> FloatArray:
    """
    As `_extent`, of hulls of many corners: those farthest in a direction are found by the angles of sides.

    Going round, sides turn ever further: the corner where they turn past a right angle to the direction lies
    farthest. Its neighbours are tried too, as rounding may turn short sides a little wrong.
    """
    return np.array(
        [_farthest(*one) + _farthest(one[0], -one[1]) for one in zip(corner, direction, strict=True)]
    )


def _farthest(corner: FloatArray, direction: FloatArray) -> FloatArray:
    """How far one hull reaches in each direction. Shape (k,)."""
    side = np.roll(corner, -1, axis=0) - corner
    angle = np.unwrap(np.arctan2(side[:, 1], side[:, 0]))
    clockwise = angle[-1] < angle[0]
    turned = np.arctan2(direction[:, 1], direction[:, 0]) + (-np.pi / 2 if clockwise else np.pi / 2)
    if clockwise:
        angle, turned = -angle, -turned
    angle = np.maximum.accumulate(angle)
    at = np.searchsorted(angle, angle[0] + np.mod(turned - angle[0], 2 * np.pi))
    near = (at[:, None] + np.arange(-2, 3)) % len(corner)
    reach: FloatArray = np.einsum("dnc,dc->dn", corner[near], direction).max(axis=1)
    return reach
