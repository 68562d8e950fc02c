"""Many polygons -> their union, as long as it does not get far more complicated than they are."""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.crossings import Sides
from pastecheck.geometry.mending import GRID_MM
from pastecheck.limits import STANDARD, Limits

GeometryArray = NDArray[np.object_]

_LAST: Final = 16
_FEW: Final = 64
"""So few polygons are united without looking: how they cross one another is soon found."""


def united(outlines: GeometryArray, limits: Limits = STANDARD) -> shapely.Geometry:
    """
    The union of polygons, vertices rounded to whole nanometres.

    Thousands of thin strokes across one another leave millions of corners between them. So they are united
    two by two, neighbours first, and what comes of it is looked at before it is united further: in the end
    with all the places where what is left crosses, for the last step may make the most.

    Args:
        outlines: Polygons or multipolygons, valid, in mm. Shape (n,), n at least 1.
        limits: How many vertices more than the polygons it may have.

    Raises:
        TooMuchError: If there are more.
    """
    if len(outlines) <= _FEW:
        return shapely.union_all(outlines, grid_size=GRID_MM)
    drawn = int(shapely.get_num_coordinates(outlines).sum())
    left = outlines[_neighbours_first(outlines)]
    while len(left) > 1:
        more = int(shapely.get_num_coordinates(left).sum()) - drawn
        if len(left) <= _LAST:
            more += _crossings(left, limits)
        if more > limits.merged_vertices:
            what = (
                f"strokes, flashes or contours across one another leave {more} vertices more than were drawn"
            )
            raise TooMuchError(f"{what}; at most {limits.merged_vertices} are", "merged-vertices", more)
        pairs = len(left) // 2
        both = shapely.union(left[: 2 * pairs : 2], left[1 : 2 * pairs : 2], grid_size=GRID_MM)
        left = np.concatenate([both, left[2 * pairs :]])
    one: shapely.Geometry = left[0]
    return one


def _neighbours_first(outlines: GeometryArray) -> IntArray:
    """Rows in an order in which those beside each other are near: columns as wide as high, up and down."""
    box = shapely.bounds(outlines)
    x, y = (box[:, :2] + box[:, 2:]).T / 2
    by_x = np.argsort(x, kind="stable")
    column = np.empty(len(x), np.int64)
    column[by_x] = np.arange(len(x)) // max(1, round(np.sqrt(len(x))))
    order: IntArray = np.lexsort((np.where(column % 2, -y, y), column))
    return order


def _crossings(outlines: GeometryArray, limits: Limits) -> int:
    """How often sides of one cross those of others."""
    corner, owner = shapely.get_coordinates(shapely.boundary(outlines), return_index=True)
    within = _same_ring(outlines)
    owner = owner[1:][within]
    one, other = Sides(corner[:-1][within], corner[1:][within]).crossing(limits)
    return int(np.count_nonzero(owner[one] != owner[other]))


def _same_ring(outlines: GeometryArray) -> BoolArray:
    """For each corner but the first whether the one before it is of the same ring."""
    _, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(outlines)), return_index=True)
    same: BoolArray = np.diff(ring) == 0
    return same
