"""Film inside an outline that hangs on nothing: what each hole leaves between the openings in it."""

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray

GeometryArray = NDArray[np.object_]


def largest_islands(
    outline: GeometryArray, inner: GeometryArray, outline_of: IntArray, inner_of: IntArray
) -> FloatArray:
    """
    Area of the largest part of the film that falls out of each outline; NaN for those without holes.

    A hole holds one piece of film less the openings in it. An opening counts with its own holes filled: the
    film in them falls out apart, and is that opening's island. Openings inside such a hole take nothing
    more.

    Args:
        outline: Polygons in mm, apart from one another and from those within. Shape (s,).
        inner: Openings in the holes of outlines, placed as they lie there. Shape (t,).
        outline_of: Outline of each pair of an outline and an opening in one of its holes. Shape (k,).
        inner_of: Opening of each pair. Shape (k,).

    Returns:
        In mm2, as exact as the outlines: an error of t in a wall moves an area by t x its length. Where
        openings in one hole touch in single points and so cut its film in parts, those are taken together.
        Shape (s,).
    """
    rings, owner = shapely.get_rings(outline, return_index=True)
    is_hole = np.diff(owner, prepend=-1) == 0
    hole, owner = shapely.polygons(rings[is_hole]), owner[is_hole]
    area: FloatArray = shapely.area(hole)
    pair, at = _pairs_with_holes(owner, outline_of, len(outline))
    # an opening may touch the wall of its hole, so a point within it is asked for
    somewhere = shapely.point_on_surface(inner)
    lies_in = shapely.contains(hole[at], somewhere[inner_of[pair]])
    pair, at = pair[lies_in], at[lies_in]
    kept = ~_lies_deeper(inner, inner_of[pair], at)
    filled = np.asarray(shapely.area(shapely.polygons(shapely.get_exterior_ring(inner))))
    area -= np.bincount(at[kept], weights=filled[inner_of[pair[kept]]], minlength=len(hole))
    largest = np.full(len(outline), -np.inf)
    np.maximum.at(largest, owner, area)
    return np.where(np.isinf(largest), np.nan, np.maximum(largest, 0.0))


def _pairs_with_holes(owner: IntArray, outline_of: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """Each pair with each hole of its outline: rows of pairs, rows of holes."""
    holes = np.bincount(owner, minlength=count)
    begin = np.cumsum(holes) - holes
    times = holes[outline_of]
    pair = np.repeat(np.arange(len(outline_of)), times)
    nth = np.arange(len(pair)) - np.repeat(np.cumsum(times) - times, times)
    return pair, begin[outline_of][pair] + nth


def _lies_deeper(inner: GeometryArray, opening: IntArray, hole: IntArray) -> BoolArray:
    """Whether an opening in a hole lies within a hole of another opening in the same hole. Shape (k,)."""
    deeper = np.zeros(len(opening), bool)
    with_holes = np.flatnonzero(shapely.get_num_interior_rings(inner[opening]) > 0)
    if not len(with_holes):
        return deeper
    order = np.argsort(hole, kind="stable")
    begin = np.searchsorted(hole[order], hole[with_holes])
    times = np.searchsorted(hole[order], hole[with_holes], side="right") - begin
    outer = np.repeat(with_holes, times)
    nth = np.arange(len(outer)) - np.repeat(np.cumsum(times) - times, times)
    other = order[np.repeat(begin, times) + nth]
    outer, other = outer[outer != other], other[outer != other]
    filled = shapely.polygons(shapely.get_exterior_ring(inner[opening[outer]]))
    within = shapely.contains(filled, shapely.point_on_surface(inner[opening[other]]))
    deeper[other[within]] = True
    return deeper
