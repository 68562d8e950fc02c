"""Sides of many regions in one table, and those near a place, by blocks of sides along each ring."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import offsets, rows_of_runs, within_runs

GeometryArray = NDArray[np.object_]

STRAIGHT_MM = 1e-11
"""A vertex this close to the line between its neighbours is on it: rounding of floats, no corner."""

_REPEATED_MM = 1e-9
_SMALL_BLOCK = 16
_ROWS_AT_ONCE = 400_000


class Walls(NamedTuple):
    """
    Sides of regions, each region on the left of its sides; n rows, those of a region behind one another.

    A region is the inside of a polygon, or the outside of its outer ring. The vertex of a side is where it
    begins.
    """

    begin_mm: FloatArray
    """Shape (n, 2)."""
    along: FloatArray
    """Unit vectors. Shape (n, 2)."""
    length_mm: FloatArray
    before: IntArray
    """The side that ends where this one begins."""
    after: IntArray
    turn_rad: FloatArray
    """Turn at the vertex of the side: positive to the left, at a convex corner of the region."""
    region: IntArray
    offset: IntArray
    """Region s has the sides offset[s] to offset[s + 1]. Shape (s + 1,)."""
    block: IntArray
    """Blocks of sides in a row begin at these sides; none spans two regions. Shape (b + 1,)."""
    block_offset: IntArray
    """Region s has the blocks block_offset[s] to block_offset[s + 1]. Shape (s + 1,)."""
    box_mm: FloatArray
    """Box about each block. Shape (b, 4)."""
    middle_x_mm: FloatArray
    middle_y_mm: FloatArray


def left_of(vectors: FloatArray) -> FloatArray:
    """Vectors turned left by 90 degrees. Shape (..., 2)."""
    return np.stack([-vectors[..., 1], vectors[..., 0]], axis=-1)


def dot(one: FloatArray, other: FloatArray) -> FloatArray:
    """Products of vectors, row by row."""
    product: FloatArray = one[..., 0] * other[..., 0] + one[..., 1] * other[..., 1]
    return product


def cross(one: FloatArray, other: FloatArray) -> FloatArray:
    """One's length times the other's, times the sine of the turn from one to the other, row by row."""
    product: FloatArray = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return product


def angle_between(one: FloatArray, other: FloatArray) -> FloatArray:
    """Angles between vectors, 0 to pi."""
    angle: FloatArray = np.abs(np.arctan2(cross(one, other), dot(one, other)))
    return angle


class Corners(NamedTuple):
    """Corners of rings, repeated and straight ones left out."""

    at_mm: FloatArray
    """Shape (n, 2)."""
    ring: IntArray
    """Which ring; corners of a ring follow one another. Shape (n,)."""
    owner: IntArray
    """Which polygon each ring belongs to."""

    def neighbours(self) -> tuple[IntArray, IntArray]:
        """Row of the corner before, and of the one after, around each ring."""
        first = np.flatnonzero(np.diff(self.ring, prepend=-1))
        count = np.diff(np.append(first, len(self.ring)))
        rows = np.arange(len(self.ring))
        before, after = rows - 1, rows + 1
        last = first + count - 1
        before[first], after[last] = last, first
        return before, after


def corners_of(polygons: GeometryArray, *, outside: bool = False) -> Corners:
    """Corners of polygons, the inside to the left; or of their outer rings, the outside to the left."""
    if outside:
        polygons = outer(polygons)
    rings, owner = shapely.get_rings(
        shapely.orient_polygons(polygons, exterior_cw=outside), return_index=True
    )
    at_mm, ring = shapely.get_coordinates(rings, return_index=True)
    corners = Corners(at_mm, ring, owner)
    while True:
        _, after = corners.neighbours()
        kept = np.hypot(*(at_mm[after] - at_mm).T) > _REPEATED_MM
        at_mm, ring = at_mm[kept], ring[kept]
        corners = Corners(at_mm, ring, owner)
        before, after = corners.neighbours()
        span = at_mm[after] - at_mm[before]
        step = at_mm - at_mm[before]
        on_line = np.abs(cross(step, span)) <= STRAIGHT_MM * np.hypot(*span.T)
        straight = on_line & (dot(step, at_mm[after] - at_mm) > 0)
        if kept.all() and not straight.any():
            return corners
        at_mm, ring = at_mm[~straight], ring[~straight]
        corners = Corners(at_mm, ring, owner)


def outer(polygons: GeometryArray) -> GeometryArray:
    """Polygons without their holes. Shape (s,)."""
    return np.asarray(shapely.polygons(shapely.get_exterior_ring(polygons)), np.object_)


def walls_of(polygons: GeometryArray, *, outside: bool = False) -> Walls:
    """
    The sides of polygons about their inside, or of their outer rings about their outside.

    Args:
        polygons: Valid, in mm. Shape (s,).
        outside: Whether the region is what lies outside the outer ring.
    """
    corners = corners_of(polygons, outside=outside)
    before, after = corners.neighbours()
    step = corners.at_mm[after] - corners.at_mm
    length = np.hypot(*step.T)
    along = step / length[:, None]
    turn = np.arctan2(cross(along[before], along), dot(along[before], along))
    region = corners.owner[corners.ring]
    count = np.bincount(region, minlength=len(polygons))
    offset = offsets(count)
    size = np.maximum(_SMALL_BLOCK, np.ceil(np.sqrt(count)).astype(np.int64))
    blocks = -(-count // size)
    block = np.repeat(offset[:-1], blocks) + within_runs(blocks) * np.repeat(size, blocks)
    end = corners.at_mm[after]
    if len(block):
        low = np.minimum.reduceat(np.minimum(corners.at_mm, end), block)
        high = np.maximum.reduceat(np.maximum(corners.at_mm, end), block)
    else:
        low = high = np.zeros((0, 2))
    return Walls(
        corners.at_mm,
        along,
        length,
        before,
        after,
        turn,
        region,
        offset,
        np.append(block, len(region)),
        offsets(blocks),
        np.hstack([low, high]),
        (corners.at_mm[:, 0] + end[:, 0]) / 2,
        (corners.at_mm[:, 1] + end[:, 1]) / 2,
    )


class Near(NamedTuple):
    """Rows of places, and of sides near each of them; in order of the places. Shape (k,)."""

    place: IntArray
    side: IntArray


def chunks_of(weight: IntArray, at_once: int = _ROWS_AT_ONCE) -> list[IntArray]:
    """Rows in groups of which none weighs much more than what may be held at once."""
    rows = np.arange(len(weight))
    group = np.cumsum(weight) // at_once
    return np.split(rows, np.flatnonzero(np.diff(group)) + 1) if len(rows) else []


def blocks_of(walls: Walls, region: IntArray) -> tuple[IntArray, IntArray]:
    """Each place with each block of its region: rows of places, rows of blocks. region: of each place."""
    first = walls.block_offset[region]
    count = walls.block_offset[region + 1] - first
    return np.repeat(np.arange(len(region)), count), rows_of_runs(first, count)


def sides_near(walls: Walls, region: IntArray, centre_mm: FloatArray, reach_mm: FloatArray) -> Near:
    """Sides that may come within reach of a place: all that do, and some more."""
    place, block = blocks_of(walls, region)
    x, y = centre_mm[:, 0][place], centre_mm[:, 1][place]
    low_x, low_y, high_x, high_y = (walls.box_mm[:, k][block] for k in range(4))
    beside_x = np.maximum(np.maximum(low_x - x, x - high_x), 0.0)
    beside_y = np.maximum(np.maximum(low_y - y, y - high_y), 0.0)
    met = beside_x * beside_x + beside_y * beside_y <= reach_mm[place] ** 2
    place, block = place[met], block[met]
    count = walls.block[block + 1] - walls.block[block]
    place, side = np.repeat(place, count), rows_of_runs(walls.block[block], count)
    off_x = walls.middle_x_mm[side] - centre_mm[:, 0][place]
    off_y = walls.middle_y_mm[side] - centre_mm[:, 1][place]
    met = off_x * off_x + off_y * off_y <= (reach_mm[place] + walls.length_mm[side] / 2) ** 2
    return Near(place[met], side[met])


def nearest_on(walls: Walls, side: IntArray, point_mm: FloatArray) -> FloatArray:
    """The point of each side nearest to a point. Shape (k, 2)."""
    begin, along = walls.begin_mm[side], walls.along[side]
    foot = np.clip(dot(point_mm - begin, along), 0.0, walls.length_mm[side])
    nearest: FloatArray = begin + foot[:, None] * along
    return nearest


def are_empty(walls: Walls, region: IntArray, centre_mm: FloatArray, radius_mm: FloatArray) -> BoolArray:
    """Whether no side of the region comes closer to a centre than the radius. Shape (k,)."""
    empty = np.ones(len(region), bool)
    blocks = (walls.block_offset[region + 1] - walls.block_offset[region]) * 4
    for rows in chunks_of(blocks):
        near = sides_near(walls, region[rows], centre_mm[rows], radius_mm[rows])
        away = nearest_on(walls, near.side, centre_mm[rows][near.place]) - centre_mm[rows][near.place]
        cut = dot(away, away) < radius_mm[rows][near.place] ** 2
        empty[rows[near.place[cut]]] = False
    return empty
