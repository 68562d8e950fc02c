"""Outlines that touch or cross themselves -> valid ones; what they go round twice is out."""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.crossings import Sides
from pastecheck.limits import STANDARD, Limits

GeometryArray = NDArray[np.object_]

GRID_MM: Final = 1e-6
"""Vertices of merged outlines are rounded to whole nanometres, so that what abuts in the file abuts here."""

_FEW_CORNERS: Final = 150
"""An outline with no more cannot cross itself too often."""
_RAYS_AT_ONCE: Final = 2_000


def mended(outlines: GeometryArray, limits: Limits = STANDARD) -> GeometryArray:
    """
    Outlines that touch or cross themselves made valid: what lies inside an odd number of times.

    One that goes round several times the same way counts once.

    Args:
        outlines: Polygons without holes, in mm. Shape (n,).
        limits: How often one may cross itself at most.

    Returns:
        Polygons and multipolygons, those mended in whole nanometres; the same array if all are valid.

    Raises:
        TooMuchError: If one crosses itself more often.

    Cost:
        Grows with the crossings, about 50 us each.
    """
    broken = np.flatnonzero(~shapely.is_valid(outlines))
    if not len(broken):
        return outlines
    result = outlines.copy()
    for row in broken.tolist():
        result[row] = _inside_oddly(shapely.get_exterior_ring(outlines[row]), limits)
    return result


def _inside_oddly(ring: shapely.Geometry, limits: Limits) -> shapely.Geometry:
    """A ring cut wherever it crosses or touches itself, and the faces between that lie inside oddly often."""
    corner = _once_round(np.rint(shapely.get_coordinates(ring) / GRID_MM) * GRID_MM)
    sides = Sides(corner[:-1], corner[1:])
    if len(corner) > _FEW_CORNERS:
        _refuse_many_crossings(sides, limits)
    line = shapely.union_all(shapely.LineString(corner), grid_size=GRID_MM)
    face = np.asarray(shapely.get_parts(shapely.polygonize(shapely.get_parts(line))), dtype=object)
    whole = shapely.coverage_union_all(face[_are_inside_oddly(face, sides)])
    parts = np.asarray(shapely.get_parts([whole]), dtype=object)
    one: shapely.Geometry = parts[0] if len(parts) == 1 else whole
    return one


def _once_round(corner: FloatArray) -> FloatArray:
    """A closed ring that goes round the same way several times, once."""
    count = len(corner) - 1
    again = np.flatnonzero((corner[1:count] == corner[0]).all(axis=1)) + 1
    for period in again.tolist():
        if count % period == 0 and np.array_equal(corner[period:count], corner[: count - period]):
            return corner[: period + 1]
    return corner


def _are_inside_oddly(face: GeometryArray, sides: Sides) -> BoolArray:
    """Whether a ray from each face meets an odd number of sides. Shape (k,)."""
    point = shapely.get_coordinates(shapely.point_on_surface(face))
    far = np.full(len(point), max(sides.begin[:, 0].max(), sides.end[:, 0].max()))
    ray = np.stack([point, np.column_stack([far, point[:, 1]])], axis=1)
    lines = np.asarray(shapely.linestrings(np.stack([sides.begin, sides.end], axis=1)), dtype=object)
    tree = shapely.STRtree(lines)
    odd = np.zeros(len(face), bool)
    for some in np.split(np.arange(len(face)), range(_RAYS_AT_ONCE, len(face), _RAYS_AT_ONCE)):
        which, side = tree.query(np.asarray(shapely.linestrings(ray[some]), dtype=object))
        x, y = point[some[which]].T
        begin, end = sides.begin[side], sides.end[side]
        passes = (begin[:, 1] > y) != (end[:, 1] > y)
        which, x, y, begin, end = which[passes], x[passes], y[passes], begin[passes], end[passes]
        meets_at = begin[:, 0] + (y - begin[:, 1]) * (end[:, 0] - begin[:, 0]) / (end[:, 1] - begin[:, 1])
        odd[some] = np.bincount(which[meets_at > x], minlength=len(some)) % 2 == 1
    return odd


def _refuse_many_crossings(sides: Sides, limits: Limits) -> None:
    """
    Refuse a ring that crosses itself more often than is allowed.

    Raises:
        TooMuchError: If it does, or if more of its sides lie across each other than can be looked at.
    """
    one, other = sides.crossing(limits)
    apart = other - one
    count = int(np.count_nonzero((apart > 1) & (apart < len(sides.begin) - 1)))  # not from one to the next
    if count > limits.crossings:
        what = f"a contour crosses itself {count} times; at most {limits.crossings} times are read"
        raise TooMuchError(what, "crossings", count)
