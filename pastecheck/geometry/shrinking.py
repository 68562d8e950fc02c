"""Discs in convex polygons, by moving all sides inward at once until nothing is left."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.facing_rules import (
    TAPER_RAD,
    are_ends_of_tapers,
    contact_reach,
    faces,
    might_face,
)
from pastecheck.geometry.walls import cross, dot, left_of

_NO_TURN_RAD = 1e-9
_ROUNDING_MM = 1e-9


class ConvexDiscs(NamedTuple):
    """Discs in convex polygons: radii, and a touch on either side. Shape (m,), (m, 2)."""

    radius_mm: FloatArray
    begin_mm: FloatArray
    end_mm: FloatArray

    def put(self, rows: IntArray, discs: "ConvexDiscs", chosen: BoolArray) -> None:
        """Write those that are chosen to the rows."""
        for column, values in zip(self, discs, strict=True):
            column[rows[chosen]] = values[chosen]


class _Sides(NamedTuple):
    """Sides of convex polygons, in order around each. Shape (m, k, ...)."""

    corner: FloatArray
    """Where each begins, on the line of the one before."""
    along: FloatArray
    """Unit vectors, counter-clockwise."""

    def rows(self, kept: BoolArray | IntArray) -> "_Sides":
        """Those of some polygons."""
        return _Sides(self.corner[kept], self.along[kept])


class _Meeting(NamedTuple):
    """A side vanishes between its neighbours: a disc touches all three. Shape (m, ...)."""

    radius_mm: FloatArray
    """How far all sides have moved."""
    centre_mm: FloatArray
    along: FloatArray
    """The side before, the one that vanishes, the one after. Shape (m, 3, 2)."""
    turn_rad: FloatArray
    """Turns at the beginning and the end of the side that vanishes. Shape (m, 2)."""
    place: IntArray
    """Which of the sides it is."""


def shrunk(corner: FloatArray, tip_side_mm: FloatArray) -> tuple[ConvexDiscs, ConvexDiscs]:
    """
    The smallest facing disc and the largest disc in convex polygons of equally many corners.

    All sides move inward together. Whenever a side has shrunk to nothing its neighbours meet, and a disc
    touches the three: a vertex of the medial axis, which in a convex polygon is what the corners draw. The
    last of these discs is the largest. Two nearly parallel sides are nearest to each other where they meet.

    Args:
        corner: Counter-clockwise, none repeated or on a straight side, in mm. Shape (m, k, 2), k > 2.
        tip_side_mm: Length of both sides from which a sharp corner is a disc of no size (D). Shape (m,).

    Cost:
        k² for each polygon, in arrays over all of them.
    """
    step = np.roll(corner, -1, axis=1) - corner
    sides = _Sides(corner, step / np.hypot(step[..., 0], step[..., 1])[..., None])
    narrowest, largest = _tips(sides, tip_side_mm), _none(len(corner))
    rows, left = np.arange(len(corner)), sides
    while len(rows):
        meeting = _next_meeting(left)
        disc, angle = _disc(meeting)
        facing = faces(angle)
        maybe = np.flatnonzero(might_face(angle))
        facing[maybe] = _have_wide_contact(sides.rows(rows[maybe]), meeting, maybe)
        narrowest.put(rows, disc, facing & ~(narrowest.radius_mm[rows] <= disc.radius_mm))
        last = (meeting.turn_rad.sum(axis=1) >= np.pi - _NO_TURN_RAD) | (left.along.shape[1] == 3)
        largest.put(rows, disc, last)
        rows, left = rows[~last], _without(left, meeting, ~last)
    narrowest.put(np.arange(len(corner)), largest, np.isnan(narrowest.radius_mm))
    return narrowest, largest


def _none(count: int) -> ConvexDiscs:
    return ConvexDiscs(np.full(count, np.nan), np.full((count, 2), np.nan), np.full((count, 2), np.nan))


def _turns(along: FloatArray) -> FloatArray:
    """Turn at the beginning of each side. Shape (m, k)."""
    before = np.roll(along, 1, axis=1)
    turn: FloatArray = np.arctan2(cross(before, along), dot(before, along))
    return turn


def _lengths(sides: _Sides) -> FloatArray:
    return dot(np.roll(sides.corner, -1, axis=1) - sides.corner, sides.along)


def _tips(sides: _Sides, tip_side_mm: FloatArray) -> ConvexDiscs:
    """Discs of no size in corners sharper than 20 degrees between long sides, NaN where there is none (D)."""
    long = _lengths(sides) >= tip_side_mm[:, None] - _ROUNDING_MM
    is_tip = (_turns(sides.along) > TAPER_RAD + _NO_TURN_RAD) & long & np.roll(long, 1, axis=1)
    rows, tips = np.arange(len(long)), _none(len(long))
    at = sides.corner[rows, is_tip.argmax(axis=1)]
    tips.put(rows, ConvexDiscs(np.zeros(len(long)), at, at), is_tip.any(axis=1))
    return tips


def _next_meeting(left: _Sides) -> _Meeting:
    """The first side to vanish. A side gets shorter by tan(turn / 2) at either end for each mm it moves."""
    turn = _turns(left.along)
    after = np.roll(turn, -1, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        time = _lengths(left) / (np.tan(turn / 2) + np.tan(after / 2))
    place = np.where(np.isnan(time), np.inf, time).argmin(axis=1)
    rows, count = np.arange(len(place)), turn.shape[1]
    three = np.column_stack([place - 1, place, (place + 1) % count])
    along = left.along[rows[:, None], three]
    turns = np.column_stack([turn[rows, place], after[rows, place]])
    radius = np.maximum(time[rows, place], 0.0)
    # the blunter corner tells the centre best: it moves along (one normal + other) / (1 + product)
    later = (turns[:, 1] < turns[:, 0]).astype(np.int64)
    one, other = left_of(along[rows, later]), left_of(along[rows, later + 1])
    way = (one + other) / (1 + dot(one, other))[:, None]
    centre = left.corner[rows, (place + later) % count] + radius[:, None] * way
    return _Meeting(radius, centre, along, turns, place)


def _disc(meeting: _Meeting) -> tuple[ConvexDiscs, FloatArray]:
    """The disc with its two touches that are farthest apart; and the three angles between touches."""
    both = meeting.turn_rad.sum(axis=1)
    angle = np.column_stack([meeting.turn_rad, np.minimum(both, 2 * np.pi - both)])
    widest = angle.argmax(axis=1)
    rows = np.arange(len(widest))
    ends = [
        meeting.centre_mm - meeting.radius_mm[:, None] * left_of(meeting.along[rows, np.array(which)[widest]])
        for which in ([0, 1, 0], [1, 2, 2])
    ]
    return ConvexDiscs(meeting.radius_mm, ends[0], ends[1]), angle


def _have_wide_contact(sides: _Sides, meeting: _Meeting, rows: IntArray) -> BoolArray:
    """Whether all sides that nearly touch a disc make it the end of a taper. sides: of the rows only."""
    normal = left_of(sides.along)
    away = dot(meeting.centre_mm[rows, None] - sides.corner, normal)
    place, side = np.nonzero(away <= contact_reach(meeting.radius_mm[rows])[:, None])
    return are_ends_of_tapers(place, -normal[place, side], len(rows))


def _without(left: _Sides, meeting: _Meeting, kept: BoolArray) -> _Sides:
    """The polygons that are kept, less the side that vanished: its neighbours meet instead."""
    left, place = left.rows(kept), meeting.place[kept]
    before, _, after = np.moveaxis(meeting.along[kept], 1, 0)
    rows, count = np.arange(len(place)), left.along.shape[1]
    begin, following = left.corner[rows, place], (place + 1) % count
    end = left.corner[rows, following]
    along = cross(end - begin, after) / cross(before, after)
    corner = left.corner.copy()
    corner[rows, following] = begin + along[:, None] * before
    rest = np.ones(left.along.shape[:2], bool)
    rest[rows, place] = False
    shape = (len(place), count - 1, 2)
    return _Sides(corner[rest].reshape(shape), left.along[rest].reshape(shape))
