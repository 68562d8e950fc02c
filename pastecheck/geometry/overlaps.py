"""What pairs of outlines have in common, and how far one reaches beyond others."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.across import placed_about
from pastecheck.geometry.pairs import Apart
from pastecheck.ragged import among, rows_of_runs

GeometryArray = NDArray[np.object_]

LOOSE_MM: Final = 0.001
"""How far beyond what was found a point may reach farther at most, if all lies within that."""

_AT_ONCE: Final = 100_000
"""Pairs that are placed at a time, so that they take no memory."""
_STEP_MM: Final = 0.01
"""Between several outlines the farthest point may lie within a side: so often it is looked at."""
_LOOSENED: Final = 4.0
_TRIES: Final = 12
"""So many times it is grown by ever more: up to 4 m."""
_FINE: Final = 32
"""Of a quarter circle: at a reach of 1 mm the chords are 0.3 um off, which is below what is loose."""
_ROUNDING: Final = 1e-12
_DECIMALS: Final = 6
"""Whole nanometres: what differs by less is as far."""


class Common(NamedTuple):
    """What pairs of outlines have in common. Shape (k,) each."""

    area_mm2: FloatArray
    """Of both, as flattened; 0 where they only touch."""
    edge_mm: FloatArray
    """Length of the edge of what they share."""
    one_inside: BoolArray
    """Whether the first lies in the second."""
    other_inside: BoolArray


def common(outline: GeometryArray, pairs: Apart) -> Common:
    """
    What pairs of outlines have in common.

    Args:
        outline: Distinct polygons, valid. Shape (s,).
        pairs: Which two, and how far apart their origins are.

    Cost:
        Grows with the vertices of the smaller of each two; those of a very large one are passed but once.
    """
    count = shapely.get_num_coordinates(outline)
    turned = count[pairs.one] > count[pairs.other]  # the one with more vertices is placed about the other
    fixed, moved = np.where(turned, pairs.other, pairs.one), np.where(turned, pairs.one, pairs.other)
    way_mm = np.where(turned, -1.0, 1.0)[:, None] * np.column_stack([pairs.dx_mm, pairs.dy_mm])
    box = shapely.bounds(outline).reshape(-1, 4)
    moved_box = box[moved] + np.tile(way_mm, 2)
    area_mm2, edge_mm = np.zeros(len(fixed)), np.zeros(len(fixed))
    fixed_inside, moved_inside = np.zeros(len(fixed), bool), np.zeros(len(fixed), bool)
    for rows in np.split(np.arange(len(fixed)), range(_AT_ONCE, len(fixed), _AT_ONCE)):
        one = outline[fixed[rows]]
        other = placed_about(outline, moved[rows], way_mm[rows], box[fixed[rows]])
        fixed_inside[rows] = _lies_in(one, other, box[fixed[rows]], moved_box[rows])
        moved_inside[rows] = _lies_in(other, one, moved_box[rows], box[fixed[rows]])
        shared = np.where(fixed_inside[rows], one, other)
        unsure = np.flatnonzero(~fixed_inside[rows] & ~moved_inside[rows])
        shared[unsure] = shapely.intersection(one[unsure], other[unsure])
        area_mm2[rows], edge_mm[rows] = shapely.area(shared), shapely.length(shared)
    return Common(
        area_mm2,
        edge_mm,
        np.where(turned, moved_inside, fixed_inside),
        np.where(turned, fixed_inside, moved_inside),
    )


def _lies_in(inner: GeometryArray, outer: GeometryArray, inner_box: FloatArray, box: FloatArray) -> BoolArray:
    """Whether outlines lie in others, given their boxes. Shape (k,)."""
    may = (box[:, :2] <= inner_box[:, :2]).all(axis=1) & (inner_box[:, 2:] <= box[:, 2:]).all(axis=1)
    rows = np.flatnonzero(may)
    inside = np.zeros(len(inner), bool)
    inside[rows] = shapely.covers(outer[rows], inner[rows])
    return inside


class Beyond(NamedTuple):
    """How far outlines reach beyond others. Shape (k,) each."""

    reach_mm: FloatArray
    loose_mm: FloatArray
    """It may be farther by so much."""
    place_mm: FloatArray
    """The farthest point. Shape (k, 2)."""


def beyond(outline: GeometryArray, others: GeometryArray) -> Beyond:
    """
    Largest distance of a point of an outline from others; 0 where all of it lies in them.

    Tried are the corners of what lies beyond. From a convex outline one of them is the farthest; else that
    all is as near is proved by growing the others by what was found. Where that fails, as between several
    others, points along the edge and the middles of what lies beyond are tried as well.

    Args:
        outline: Polygons, valid. Shape (k,).
        others: A polygon or multipolygon for each, valid. Shape (k,).

    Returns:
        For the outlines as flattened. It is never too large.
    """
    rest = shapely.difference(outline, others)
    rest[shapely.get_dimensions(rest) < 2] = shapely.Polygon()
    rows = np.flatnonzero(~shapely.is_empty(rest))
    reach_mm, loose_mm = np.zeros(len(outline)), np.zeros(len(outline))
    place_mm = shapely.get_coordinates(shapely.centroid(outline))
    rest, others = rest[rows], others[rows]
    corner, at = shapely.get_coordinates(rest, return_index=True)
    found, place = _farthest(corner, at, others)
    bent = np.flatnonzero(shapely.area(shapely.convex_hull(others)) > shapely.area(others) * (1 + _ROUNDING))
    loose = np.zeros(len(rows))
    loose[bent] = _proved(rest[bent], others[bent], found[bent], tries=1)
    unsure = np.flatnonzero(np.isinf(loose))
    more, of_more = _points_in(rest[unsure])
    corner, at = np.concatenate([corner, more]), np.concatenate([at, unsure[of_more]])
    again = among(at, unsure)
    found_again, place_again = _farthest(corner[again], np.searchsorted(unsure, at[again]), others[unsure])
    found[unsure], place[unsure] = found_again, place_again
    loose[unsure] = _proved(rest[unsure], others[unsure], found_again, tries=_TRIES)
    reach_mm[rows], loose_mm[rows], place_mm[rows] = found, loose, place
    return Beyond(reach_mm, loose_mm, place_mm)


def _farthest(point: FloatArray, at: IntArray, others: GeometryArray) -> tuple[FloatArray, FloatArray]:
    """Of the points of each row that farthest from its others, the lowest of several: distance and place."""
    distance_mm = shapely.distance(np.asarray(shapely.points(point), dtype=object), others[at])
    x, y = np.round(point, _DECIMALS).T
    order = np.lexsort((x, y, -np.round(distance_mm, _DECIMALS), at))
    first = order[np.flatnonzero(np.diff(at[order], prepend=-1))]
    return distance_mm[first], point[first]


def _points_in(rest: GeometryArray) -> tuple[FloatArray, IntArray]:
    """Points along the edges of what is left, and middles of the largest discs in it; and whose they are."""
    part, of_part = shapely.get_parts(rest, return_index=True)
    is_area = shapely.get_type_id(part) == shapely.GeometryType.POLYGON
    part, of_part = part[is_area], of_part[is_area]
    edge, of_edge = shapely.get_coordinates(shapely.segmentize(part, _STEP_MM), return_index=True)
    if not len(part):
        return edge, of_edge
    discs = shapely.maximum_inscribed_circle(part, tolerance=LOOSE_MM)
    middle = shapely.get_coordinates(discs).reshape(-1, 2, 2)[:, 0]
    return np.concatenate([edge, middle]), of_part[np.concatenate([of_edge, np.arange(len(part))])]


def _proved(rest: GeometryArray, others: GeometryArray, reach_mm: FloatArray, tries: int) -> FloatArray:
    """
    By how much others have to be grown beyond what was found to hold all that is left; infinite if by more.

    Shape (k,).
    """
    loose_mm = np.full(len(rest), np.inf)
    left = np.arange(len(rest))
    for turn in range(tries):
        more_mm = LOOSE_MM * _LOOSENED**turn
        grown = shapely.buffer(others[left], reach_mm[left] + more_mm, quad_segs=_FINE)
        proved = shapely.covers(grown, rest[left])
        loose_mm[left[proved]] = more_mm
        left = left[~proved]
    return loose_mm


def joined_runs(geometry: GeometryArray, offset: IntArray) -> GeometryArray:
    """One geometry of each run of polygons that lie apart: a polygon, or a multipolygon. Shape (runs,)."""
    count = np.diff(offset)
    result = np.empty(len(count), dtype=object)
    single = count == 1
    result[single] = geometry[offset[:-1][single]]
    several = np.flatnonzero(~single)
    rows = rows_of_runs(offset[:-1][several], count[several])
    owner = np.repeat(np.arange(len(several)), count[several])
    together = np.asarray(shapely.multipolygons(geometry[rows], indices=owner), dtype=object)
    result[several] = together
    return result
