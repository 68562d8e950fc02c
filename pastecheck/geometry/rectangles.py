"""Turned rectangles, as columns: where a point lies seen from one, and the shortest way between two."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray

GeometryArray = NDArray[np.object_]

_SQUARE_RAD = 1e-12
_CORNERS = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])


class Rectangles(NamedTuple):
    """Rectangles, which may be as thin as a line or a point; columns of k rows."""

    middle_mm: FloatArray
    """Shape (k, 2)."""
    half_mm: FloatArray
    """Half of the side along the direction, and half of the one across. Shape (k, 2), not negative."""
    direction_rad: FloatArray
    """Shape (k,)."""

    def rows(self, rows: IntArray) -> "Rectangles":
        """Some of the rectangles."""
        return Rectangles(self.middle_mm[rows], self.half_mm[rows], self.direction_rad[rows])

    def seen(self, way_mm: FloatArray) -> FloatArray:
        """Ways as seen along and across each rectangle, to the left. Shape (k, ..., 2)."""
        return _turned(way_mm, -self.direction_rad)

    def told(self, seen_mm: FloatArray) -> FloatArray:
        """Ways that are seen from each rectangle, in the plane. Shape (k, ..., 2)."""
        return _turned(seen_mm, self.direction_rad)

    def outside(self, place_mm: FloatArray) -> FloatArray:
        """
        The shortest way from each rectangle to places, seen along and across it; 0 inside.

        Args:
            place_mm: Shape (k, ..., 2).
        """
        shape = (len(self.half_mm), *(1,) * (place_mm.ndim - 2), 2)
        at_mm = self.seen(place_mm - self.middle_mm.reshape(shape))
        beyond_mm = np.maximum(np.abs(at_mm) - self.half_mm.reshape(shape), 0.0)
        way_mm: FloatArray = np.sign(at_mm) * beyond_mm
        return way_mm

    def corners_mm(self) -> FloatArray:
        """Shape (k, 4, 2)."""
        corners: FloatArray = self.middle_mm[:, None] + self.told(_CORNERS * self.half_mm[:, None])
        return corners

    def drawn(self) -> GeometryArray:
        """Polygons; lines and points, where they are as thin as that. Shape (k,)."""
        corner_mm = self.corners_mm()
        line_mm = np.stack([corner_mm[:, 0], corner_mm[:, 2]], axis=1)
        sides = (self.half_mm > 0).sum(axis=1)
        drawn = np.empty(len(sides), np.object_)
        drawn[sides == 0] = shapely.points(self.middle_mm[sides == 0])
        drawn[sides == 1] = shapely.linestrings(line_mm[sides == 1])
        drawn[sides == 2] = shapely.polygons(corner_mm[sides == 2])
        return drawn


def ways_between(one: Rectangles, other: Rectangles) -> FloatArray:
    """
    The shortest way from each rectangle to another, in mm; 0 where they meet. Shape (k, 2).

    Between convex polygons that lie apart it begins or ends in a corner of one of them. Of two that lie
    square to each other each axis is looked at by itself.
    """
    turn_rad = other.direction_rad - one.direction_rad
    quarters = np.rint(turn_rad / (np.pi / 2))
    askew = np.flatnonzero(np.abs(turn_rad - quarters * (np.pi / 2)) > _SQUARE_RAD)
    half_mm = np.where((quarters % 2 == 1)[:, None], other.half_mm[:, ::-1], other.half_mm)
    beside = Rectangles(one.middle_mm, one.half_mm + half_mm, one.direction_rad)
    way_mm = one.told(beside.outside(other.middle_mm))
    way_mm[askew] = _askew(one.rows(askew), other.rows(askew))
    return way_mm


def _askew(one: Rectangles, other: Rectangles) -> FloatArray:
    """As `ways_between`, at any angle."""
    ahead = one.told(one.outside(other.corners_mm()))
    back = -other.told(other.outside(one.corners_mm()))
    ways_mm = np.concatenate([ahead, back], axis=1)
    length_mm = np.hypot(ways_mm[..., 0], ways_mm[..., 1])
    shortest = length_mm.argmin(axis=1)
    way_mm: FloatArray = ways_mm[np.arange(len(shortest)), shortest]
    way_mm[_meet(one, other)] = 0.0
    return way_mm


def _meet(one: Rectangles, other: Rectangles) -> BoolArray:
    """Whether rectangles have a point in common: whether no side of either parts them. Shape (k,)."""
    meet = np.ones(len(one.half_mm), bool)
    for mine, its in ((one, other), (other, one)):
        at_mm = mine.seen(its.corners_mm() - mine.middle_mm[:, None])
        meet &= ((at_mm.min(axis=1) <= mine.half_mm) & (at_mm.max(axis=1) >= -mine.half_mm)).all(axis=1)
    return meet


def _turned(way_mm: FloatArray, angle_rad: FloatArray) -> FloatArray:
    """Ways turned to the left, each row by its angle."""
    angle = angle_rad.reshape(-1, *(1,) * (way_mm.ndim - 2))
    cos, sin = np.cos(angle), np.sin(angle)
    x, y = way_mm[..., 0], way_mm[..., 1]
    return np.stack([cos * x - sin * y, sin * x + cos * y], axis=-1)
