"""Film inside outlines that hangs on nothing: what each hole leaves between the openings in it."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import offsets, rows_of_runs

GeometryArray = NDArray[np.object_]


class Within(NamedTuple):
    """Pairs of an outline that has holes, and another one that may lie in one of them. Shape (k,) each."""

    holder: IntArray
    """Row of the outline with the holes, among all such that are placed."""
    shape: IntArray
    """Distinct outline of the other."""
    offset_mm: FloatArray
    """From the origin of the outline with holes to that of the other. Shape (k, 2)."""


class Islands(NamedTuple):
    """The largest part of the film that falls out of each outline; NaN for those without holes."""

    area_mm2: FloatArray
    """Shape (h,)."""
    place_mm: FloatArray
    """A point in the hole that holds it, from the outline's origin. Shape (h, 2)."""
    hole_mm2: FloatArray
    """Area of that hole."""


class _Holes(NamedTuple):
    """Holes of placed outlines, those of each behind one another: z rows."""

    holder: IntArray
    polygon: GeometryArray
    """About the origin of the outline; those of equal outlines are the same."""


def largest_islands(outline: GeometryArray, holder: IntArray, within: Within) -> Islands:
    """
    The largest part of the film that falls out of each placed outline.

    A hole holds one piece of film less the openings in it. An opening counts with its own holes filled: the
    film in them falls out apart, and is that opening's island. Openings inside such a hole take nothing
    more.

    Args:
        outline: Distinct polygons in mm. Shape (s,).
        holder: Row of `outline` for each that is placed and asked about. Shape (h,).
        within: Others that may lie in their holes, apart from them and from one another.

    Returns:
        As exact as the outlines: an error of t in a wall moves an area by t x its length. Where openings in
        one hole touch in single points and so cut its film in parts, those are taken together.
    """
    holes = _holes_of(outline, holder)
    area: FloatArray = shapely.area(holes.polygon)
    whole = area.copy()
    # an opening may touch the wall of its hole, so a point within it is asked for
    kinds, kind = np.unique(within.shape, return_inverse=True)
    somewhere = shapely.get_coordinates(shapely.point_on_surface(outline[kinds])).reshape(-1, 2)
    at_mm = within.offset_mm + somewhere[kind]
    pair, hole = _pairs_with_holes(holes, within.holder, at_mm)
    kept = ~_lies_deeper(outline, within, at_mm, pair, hole)
    filled = np.asarray(shapely.area(shapely.polygons(shapely.get_exterior_ring(outline[kinds]))))
    area -= np.bincount(hole[kept], weights=filled[kind[pair[kept]]], minlength=len(area))
    islands = Islands(*(np.full(shape, np.nan) for shape in (len(holder), (len(holder), 2), len(holder))))
    order = np.lexsort((-area, holes.holder))
    largest = order[np.diff(holes.holder[order], prepend=-1) != 0]
    with_holes = holes.holder[largest]
    islands.area_mm2[with_holes] = np.maximum(area[largest], 0.0)
    islands.place_mm[with_holes] = shapely.get_coordinates(shapely.point_on_surface(holes.polygon[largest]))
    islands.hole_mm2[with_holes] = whole[largest]
    return islands


def _holes_of(outline: GeometryArray, holder: IntArray) -> _Holes:
    kinds, kind = np.unique(holder, return_inverse=True)
    rings, owner = shapely.get_rings(outline[kinds], return_index=True)
    is_hole = np.diff(owner, prepend=-1) == 0
    polygon, owner = np.asarray(shapely.polygons(rings[is_hole]), np.object_), owner[is_hole]
    shapely.prepare(polygon)
    count = np.bincount(owner, minlength=len(kinds))
    begin, count = offsets(count)[kind], count[kind]
    return _Holes(np.repeat(np.arange(len(holder)), count), polygon[rows_of_runs(begin, count)])


def _pairs_with_holes(holes: _Holes, holder: IntArray, at_mm: FloatArray) -> tuple[IntArray, IntArray]:
    """Points, and the hole that each lies in: rows of points, rows of holes."""
    if not len(holes.polygon):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    box = shapely.bounds(holes.polygon)
    # outlines are told apart in one tree by their place: each has a strip of its own
    strip = float(np.ptp(box[:, [0, 2]])) + 1.0
    low, high = box.min(axis=0)[:2], box.max(axis=0)[2:]
    point = np.flatnonzero(((at_mm >= low) & (at_mm <= high)).all(axis=1))
    box[:, [0, 2]] += (holes.holder * strip)[:, None]
    tree = shapely.STRtree(np.asarray(shapely.box(*box.T), np.object_))
    x, y = at_mm[point].T
    near, hole = tree.query(np.asarray(shapely.points(x + holder[point] * strip, y), np.object_))
    point = point[near]
    inside = shapely.contains_xy(holes.polygon[hole], at_mm[point])
    return point[inside], hole[inside]


def _lies_deeper(
    outline: GeometryArray, within: Within, at_mm: FloatArray, pair: IntArray, hole: IntArray
) -> BoolArray:
    """Whether an opening in a hole lies within a hole of another opening in the same hole. Shape (p,)."""
    deeper = np.zeros(len(pair), bool)
    shape = within.shape[pair]
    with_holes = np.flatnonzero(shapely.get_num_interior_rings(outline[shape]) > 0)
    if not len(with_holes):
        return deeper
    order = np.argsort(hole, kind="stable")
    begin = np.searchsorted(hole[order], hole[with_holes])
    count = np.searchsorted(hole[order], hole[with_holes], side="right") - begin
    outer, other = np.repeat(with_holes, count), order[rows_of_runs(begin, count)]
    outer, other = outer[outer != other], other[outer != other]
    kinds, kind = np.unique(shape[outer], return_inverse=True)
    filled = np.asarray(shapely.polygons(shapely.get_exterior_ring(outline[kinds])), np.object_)
    shapely.prepare(filled)
    deeper[other[shapely.contains_xy(filled[kind], at_mm[pair[other]] - within.offset_mm[pair[outer]])]] = (
        True
    )
    return deeper
