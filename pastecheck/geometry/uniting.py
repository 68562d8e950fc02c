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

_FOR_EACH_WRITTEN: Final = 1_000
"""Painted copper of real boards takes half of it: long round strokes, each merged in some ten steps."""
_SMALL: Final = 2_000
"""What has fewer vertices takes no time worth counting."""
_PIECE_COUNTS: Final = 20
"""A polygon takes as long to merge as so many vertices more."""
_FEW: Final = 64
"""So few polygons, unless they have very many vertices, are united at once."""
_MANY_VERTICES: Final = 20_000
_ALMOST: Final = 0.01
"""Boxes that differ by less than this share may hold outlines that lie almost on one another."""


class Work:
    """Vertices that go through unions and differences; more of them than a limit allows are refused."""

    def __init__(self, limits: Limits = STANDARD, written: int = 0) -> None:
        """Begin with none; a file with more strokes and corners of its own, copies aside, may take more."""
        self.limits = limits
        self._most = limits.merged + _FOR_EACH_WRITTEN * written
        self._done = 0

    def add(self, *polygons: "GeometryArray | shapely.Geometry") -> None:
        """
        Count what is about to be merged.

        Raises:
            TooMuchError: If it is too much, with all that came before.
        """
        for some in polygons:
            pieces = np.atleast_1d(np.asarray(some, dtype=object))
            self._count(int(shapely.get_num_coordinates(pieces).sum()), len(pieces))

    def expect(self, outlines: GeometryArray, rows: IntArray) -> None:
        """
        Refuse what is too much before it is placed; it is not counted yet.

        Raises:
            TooMuchError: If it is.
        """
        used, times = np.unique(rows, return_counts=True)
        before = self._done
        self._count(int((shapely.get_num_coordinates(outlines[used]) * times).sum()), len(rows))
        self._done = before

    def _count(self, vertices: int, pieces: int) -> None:
        vertices += _PIECE_COUNTS * pieces
        self._done += vertices if vertices > _SMALL else 0
        if self._done > self._most:
            what = f"openings are drawn in too many pieces: more than {self._most} vertices are merged"
            raise TooMuchError(what, "merged", 10 * self._done)


def united(outlines: GeometryArray, work: Work) -> shapely.Geometry:
    """
    The union of polygons, vertices rounded to whole nanometres.

    Thousands of thin strokes across one another leave millions of corners between them. So they are united
    two by two, neighbours first, and what comes of it is looked at before it is united further: before the
    last steps with all the places where what is left crosses, for they may make the most.

    Args:
        outlines: Polygons or multipolygons, valid, in mm. Shape (n,), n at least 1.
        work: Counts it, and knows how much more complicated it may get.

    Raises:
        TooMuchError: If it is too much, or gets too complicated.
    """
    drawn = int(shapely.get_num_coordinates(outlines).sum())
    if len(outlines) <= _FEW:
        work.add(outlines)
        if drawn > _MANY_VERTICES:
            _refuse_tangle(_crossings(outlines, work.limits), work.limits)
        if not _any_alike(outlines):
            return areas_only(shapely.union_all(outlines, grid_size=GRID_MM))
        return areas_only(shapely.set_precision(shapely.union_all(outlines), GRID_MM))
    left = outlines[_neighbours_first(outlines)]
    while len(left) > 1:
        work.add(left)
        more = max(int(shapely.get_num_coordinates(left).sum()) - drawn, 0)
        if _FEW // 2 < len(left) <= _FEW:
            more += _crossings(left, work.limits)
        _refuse_tangle(more, work.limits)
        pairs = len(left) // 2
        both = _each_with(left[: 2 * pairs : 2], left[1 : 2 * pairs : 2])
        for row in np.flatnonzero(shapely.get_type_id(both) == shapely.GeometryType.GEOMETRYCOLLECTION):
            both[row] = areas_only(both[row])
        left = np.concatenate([both, left[2 * pairs :]])
    one: shapely.Geometry = left[0]
    return one


def _each_with(one: GeometryArray, other: GeometryArray) -> GeometryArray:
    """
    Union of each two, vertices rounded to whole nanometres. Shape (n,).

    Large outlines that lie almost on one another take thirty times as long to unite on a grid as to unite and
    round afterwards; all others take less.
    """
    alike = _are_alike(one, other)
    both = np.empty(len(one), np.object_)
    both[~alike] = shapely.union(one[~alike], other[~alike], grid_size=GRID_MM)
    both[alike] = shapely.set_precision(shapely.union(one[alike], other[alike]), GRID_MM)
    return both


def _are_alike(one: GeometryArray, other: GeometryArray) -> BoolArray:
    """Whether two are large, and may lie almost on one another. Shape (n,)."""
    box, other_box = shapely.bounds(one), shapely.bounds(other)
    size = np.tile(box[:, 2:] - box[:, :2], 2)
    vertices = np.minimum(shapely.get_num_coordinates(one), shapely.get_num_coordinates(other))
    almost = np.asarray((np.abs(box - other_box) <= _ALMOST * size).all(axis=1))
    return almost & (vertices > _MANY_VERTICES // 4)


def _any_alike(outlines: GeometryArray) -> bool:
    """Whether any two of a few are."""
    large = outlines[shapely.get_num_coordinates(outlines) > _MANY_VERTICES // 4]
    one, other = np.triu_indices(len(large), 1)
    return bool(_are_alike(large[one], large[other]).any())


def _refuse_tangle(more: int, limits: Limits) -> None:
    """
    Refuse things that leave too many vertices between them.

    Raises:
        TooMuchError: If they do.
    """
    if more > limits.tangle:
        what = f"strokes, flashes or contours across one another leave {more} vertices more than were drawn"
        raise TooMuchError(f"{what}; at most {limits.tangle} are", "tangle", more)


def areas_only(geometry: shapely.Geometry) -> shapely.Geometry:
    """A union or difference less what collapsed to lines and points when it was rounded."""
    if shapely.get_type_id(geometry) != shapely.GeometryType.GEOMETRYCOLLECTION:
        return geometry
    parts = np.asarray(shapely.get_parts(shapely.get_parts([geometry])), dtype=object)
    whole: shapely.Geometry = shapely.multipolygons(parts[shapely.get_dimensions(parts) == 2])
    return whole


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
