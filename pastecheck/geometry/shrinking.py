"""Discs in convex polygons, by moving all sides inward at once until nothing is left."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.facing_rules import (
    TAPER_RAD,
    are_ends_of_tapers,
    contact_reach,
    faces,
    looseness,
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
    looseness: FloatArray
    """By how many tolerances more than others the diameter can be off. Shape (m,)."""

    def put(self, rows: IntArray, discs: "ConvexDiscs", chosen: BoolArray) -> None:
        """Write those that are chosen to the rows."""
        for column, values in zip(self, discs, strict=True):
            column[rows[chosen]] = values[chosen]


class _Sides(NamedTuple):
    """Sides of convex polygons, counter-clockwise, and which of them are left. Shape (m, k, ...)."""

    corner: FloatArray
    """Where each begins, on the line of the one before."""
    along: FloatArray
    """Unit vectors."""
    before: IntArray
    after: IntArray
    turn_rad: FloatArray
    """Turn at the beginning."""
    time_mm: FloatArray
    """How far all have moved when it vanishes, if the two beside it stay; infinite if it has vanished."""


class _Meeting(NamedTuple):
    """A side vanishes between its neighbours: a disc touches all three. Shape (m, ...)."""

    radius_mm: FloatArray
    """How far all sides have moved."""
    centre_mm: FloatArray
    along: FloatArray
    """The side before, the one that vanishes, the one after. Shape (m, 3, 2)."""
    turn_rad: FloatArray
    """Turns at the beginning and the end of the side that vanishes. Shape (m, 2)."""
    side: IntArray
    """Which of the sides it is."""


class Shrunk(NamedTuple):
    """Discs in each of some convex polygons; NaN where there is none."""

    narrowest: ConvexDiscs
    """The smallest that faces (A, B, D), else the largest."""
    end: ConvexDiscs
    """The smallest in an end of a taper (E)."""
    largest: ConvexDiscs


def shrunk(corner: FloatArray, tip_side_mm: FloatArray) -> Shrunk:
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
    count = corner.shape[1]
    sides = _sides_of(corner)
    narrowest, end, largest = _tips(sides, tip_side_mm), _none(len(corner)), _none(len(corner))
    rows = np.arange(len(corner))
    for left in range(count, 2, -1):
        meeting = _next_meeting(sides, rows)
        disc, angle = _disc(meeting)
        better = ~(narrowest.radius_mm[rows] <= disc.radius_mm)
        facing = faces(angle) & better
        maybe = np.flatnonzero(might_face(angle) & better)
        facing[maybe] = _have_wide_contact(sides, rows[maybe], meeting, maybe)
        narrowest.put(rows, disc, facing)
        ending, loose = _ends(meeting)
        smaller = ~(end.radius_mm[rows] <= disc.radius_mm)
        end.put(rows, disc._replace(looseness=loose), ending & smaller)
        last = (meeting.turn_rad.sum(axis=1) >= np.pi - _NO_TURN_RAD) | (left == 3)
        largest.put(rows, disc, last)
        _remove(sides, rows[~last], meeting.side[~last])
        rows = rows[~last]
    narrowest.put(np.arange(len(corner)), largest, np.isnan(narrowest.radius_mm))
    return Shrunk(narrowest, end, largest)


def _ends(meeting: _Meeting) -> tuple[BoolArray, FloatArray]:
    """Whether sides that taper by up to 20 degrees meet where others tapered by more (E), and looseness."""
    both, more = meeting.turn_rad.sum(axis=1), meeting.turn_rad.max(axis=1)
    ends = (both >= TAPER_RAD - _NO_TURN_RAD) & (both < np.pi - _NO_TURN_RAD)
    return ends & (more < TAPER_RAD - _NO_TURN_RAD), looseness(both, more)


def _sides_of(corner: FloatArray) -> _Sides:
    """Sides of polygons of which nothing has vanished yet."""
    shape = corner.shape[:2]
    step = np.roll(corner, -1, axis=1) - corner
    along = step / np.hypot(step[..., 0], step[..., 1])[..., None]
    arriving = np.roll(along, 1, axis=1)
    turn = np.arctan2(cross(arriving, along), dot(arriving, along))
    before, after = (np.broadcast_to(np.roll(np.arange(shape[1]), way), shape).copy() for way in (1, -1))
    sides = _Sides(corner.copy(), along, before, after, turn, np.zeros(shape))
    row, side = np.indices(shape)
    sides.time_mm[:] = _times(sides, row.ravel(), side.ravel()).reshape(shape)
    return sides


def _times(sides: _Sides, row: IntArray, side: IntArray) -> FloatArray:
    """When sides vanish: one gets shorter by tan(turn / 2) at either end for each mm that it moves."""
    after = sides.after[row, side]
    length = dot(sides.corner[row, after] - sides.corner[row, side], sides.along[row, side])
    with np.errstate(divide="ignore", invalid="ignore"):
        time = length / (np.tan(sides.turn_rad[row, side] / 2) + np.tan(sides.turn_rad[row, after] / 2))
    return np.where(np.isnan(time), np.inf, time)


def _remove(sides: _Sides, row: IntArray, side: IntArray) -> None:
    """Take sides that have vanished out of polygons: their neighbours meet instead."""
    before, after = sides.before[row, side], sides.after[row, side]
    along = sides.along[row, before]
    chord, leaving = sides.corner[row, after] - sides.corner[row, side], sides.along[row, after]
    reach = cross(chord, leaving) / cross(along, leaving)
    sides.corner[row, after] = sides.corner[row, side] + reach[:, None] * along
    sides.turn_rad[row, after] += sides.turn_rad[row, side]
    sides.after[row, before], sides.before[row, after] = after, before
    sides.time_mm[row, side] = np.inf
    for beside in (before, after):
        sides.time_mm[row, beside] = _times(sides, row, beside)


def _none(count: int) -> ConvexDiscs:
    radius, begin, end = (np.full(shape, np.nan) for shape in ((count,), (count, 2), (count, 2)))
    return ConvexDiscs(radius, begin, end, np.zeros(count))


def _tips(sides: _Sides, tip_side_mm: FloatArray) -> ConvexDiscs:
    """Discs of no size in corners sharper than 20 degrees between long sides, NaN where there is none (D)."""
    step = np.roll(sides.corner, -1, axis=1) - sides.corner
    long = dot(step, sides.along) >= tip_side_mm[:, None] - _ROUNDING_MM
    is_tip = (sides.turn_rad > TAPER_RAD + _NO_TURN_RAD) & long & np.roll(long, 1, axis=1)
    rows, tips = np.arange(len(long)), _none(len(long))
    at = sides.corner[rows, is_tip.argmax(axis=1)]
    none = np.zeros(len(long))
    tips.put(rows, ConvexDiscs(none, at, at, none), is_tip.any(axis=1))
    return tips


def _next_meeting(sides: _Sides, rows: IntArray) -> _Meeting:
    """The first side to vanish in each of some polygons."""
    everything = len(rows) == len(sides.time_mm)
    side = (sides.time_mm if everything else sides.time_mm[rows]).argmin(axis=1)
    after = sides.after[rows, side]
    three = np.column_stack([sides.before[rows, side], side, after])
    along = sides.along[rows[:, None], three]
    turns = sides.turn_rad[rows[:, None], three[:, 1:]]
    radius = np.maximum(sides.time_mm[rows, side], 0.0)
    # the blunter corner tells the centre best: it moves along (one normal + other) / (1 + product)
    later = (turns[:, 1] < turns[:, 0]).astype(np.int64)
    each = np.arange(len(rows))
    one, other = left_of(along[each, later]), left_of(along[each, later + 1])
    way = (one + other) / (1 + dot(one, other))[:, None]
    centre = sides.corner[rows, three[each, later + 1]] + radius[:, None] * way
    return _Meeting(radius, centre, along, turns, side)


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
    return ConvexDiscs(meeting.radius_mm, ends[0], ends[1], np.zeros(len(widest))), angle


def _have_wide_contact(sides: _Sides, rows: IntArray, meeting: _Meeting, maybe: IntArray) -> BoolArray:
    """Whether all sides that nearly touch some of the discs make them the ends of tapers."""
    normal = left_of(sides.along[rows])
    centre = meeting.centre_mm[maybe]
    # a side that has vanished lies on the line through its corner still
    away = dot(centre[:, None] - sides.corner[rows], normal)
    place, side = np.nonzero(away <= contact_reach(meeting.radius_mm[maybe])[:, None])
    return are_ends_of_tapers(place, -normal[place, side], len(maybe))
