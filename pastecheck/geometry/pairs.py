"""Close pairs: boxes that come near each other, and the gap between solids."""

from collections.abc import Iterator
from itertools import chain
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import rows_of_runs, within_runs

GeometryArray = NDArray[np.object_]

_CELLS_OF_SMALL_BOX = 12
"""Boxes over more cells of the grid than this are looked up in a tree: a frame must not fill the grid."""

_PAIRS_TRIED = 2_000_000
"""So many pairs of large boxes with any boxes are tried one by one; more are worth a tree."""

_AT_ONCE = 1_000_000
"""About so many pairs are tried at a time, so that those tried in vain take no memory."""

_PAIRS_PLACED = 100_000
"""So many pairs are placed side by side at a time: a thing moved takes half a kilobyte."""
_VERTICES_PASSED = 200_000
"""An outline whose vertices are passed so often to find the gaps to its neighbours is worth an index."""
_PIECE = 32
"""Sides of a piece of a boundary that the index finds."""

_TRIED_EACH = 100_000
"""Of pairs with more corners than this, one's times the other's, only those that are near are tried."""

_AS_NEAR_MM = 1e-6


class Rows(NamedTuple):
    """Pairs of rows, the lower first. Shape (k,) each, sorted by first, then second."""

    first: IntArray
    second: IntArray


class TooManyPairsError(Exception):
    """There are more close pairs than were asked for."""

    def __init__(self, bound: int) -> None:
        super().__init__(f"up to {bound} pairs")
        self.bound = bound
        """There are not more than this."""


def close_boxes(bounds_nm: IntArray, reach_nm: int = 0, most: int | None = None) -> Rows:
    """
    Pairs of boxes that are at most `reach_nm` apart in both x and y; touching counts.

    Args:
        bounds_nm: Min x, min y, max x, max y. Shape (n, 4).
        reach_nm: Not negative; an odd one counts as the next even one.
        most: How many pairs are wanted at most; any number if None.

    Raises:
        TooManyPairsError: If there are more. It is told before they take memory.

    Cost:
        A grid of cells twice as wide as the median box; grows with the number of boxes and of pairs.
    """
    if len(bounds_nm) < 2:
        none = np.zeros(0, np.int64)
        return Rows(none, none)
    grown = bounds_nm + np.array([-1, -1, 1, 1]) * -(-reach_nm // 2)
    side = (grown[:, 2:] - grown[:, :2]).max(axis=1)
    cell = max(1, 2 * int(np.median(side)))  # a box lies in 2.25 cells; of cells half as wide in 4
    low, high = grown[:, :2] // cell, grown[:, 2:] // cell
    across = high - low + 1
    # a product could overflow for boxes of astronomic size; a logarithm cannot
    small = np.log2(across.astype(np.float64)).sum(axis=1) <= np.log2(_CELLS_OF_SMALL_BOX)
    cells = _Cells(np.flatnonzero(small), low, across)
    large = np.flatnonzero(~small)
    bound = cells.pairs + len(large) * len(grown)
    found: list[Rows] = []
    count = 0
    for pairs in chain(cells.rows(grown), _with_large(large, small, grown)):
        found.append(pairs)
        count += len(pairs.first)
        if most is not None and count > most:
            raise TooManyPairsError(bound)
    first = np.concatenate([pair.first for pair in found])
    second = np.concatenate([pair.second for pair in found])
    order = np.lexsort((second, first))
    return Rows(first[order], second[order])


class _Cells:
    """Small boxes in the cells of the grid that they cover."""

    def __init__(self, small: IntArray, low: IntArray, across: IntArray) -> None:
        self.low = low
        count = across[small].prod(axis=1)
        entry = np.repeat(small, count)
        nth = within_runs(count)
        cell_x = low[entry, 0] + nth % across[entry, 0]
        cell_y = low[entry, 1] + nth // across[entry, 0]
        # where this overflows, cells far apart may share a key: that costs pairs tried in vain
        key = (cell_x - cell_x.min(initial=0)) * (np.ptp(cell_y) + 1 if len(cell_y) else 1) + cell_y
        order = np.argsort(key, kind="stable")
        self.entry, self.cell_x, self.cell_y, key = entry[order], cell_x[order], cell_y[order], key[order]
        begins = np.flatnonzero(np.diff(key, prepend=key[:1] - 1))
        size = np.diff(np.append(begins, len(key)))
        self.later = np.repeat(size, size) - 1 - within_runs(size)
        """How many entries of the same cell stand behind each entry."""
        self.pairs = int(self.later.sum())

    def rows(self, grown: IntArray) -> Iterator[Rows]:
        """Pairs, some at a time; each is met in the lowest cell that both cover, so it comes once."""
        total = np.cumsum(self.later)
        end = 0
        while end < len(total):
            begin, before = end, total[end] - self.later[end]
            end = max(begin + 1, int(np.searchsorted(total, before + _AT_ONCE, side="right")))
            entries = np.arange(begin, end)
            later = self.later[entries]
            one = np.repeat(entries, later)
            two = one + 1 + within_runs(later)
            i, j = self.entry[one], self.entry[two]
            lowest = np.maximum(self.low[i], self.low[j])
            kept = (self.cell_x[one] == lowest[:, 0]) & (self.cell_y[one] == lowest[:, 1])
            kept &= _meet(grown, i, j)
            yield Rows(np.minimum(i[kept], j[kept]), np.maximum(i[kept], j[kept]))


def _with_large(large: IntArray, small: NDArray[np.bool_], grown: IntArray) -> Iterator[Rows]:
    """Pairs with at least one large box: few are tried against all boxes, many are looked up in a tree."""
    for which, other in _with_each(large, grown):
        i, j = large[which], other
        kept = ((i < j) | small[j]) & (i != j)
        i, j = i[kept], j[kept]
        met = _meet(grown, i, j)
        yield Rows(np.minimum(i, j)[met], np.maximum(i, j)[met])


def _with_each(large: IntArray, grown: IntArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Numbers of large boxes, and rows of all boxes that may meet them, some at a time."""
    if len(large) * len(grown) <= _PAIRS_TRIED:
        yield np.divmod(np.arange(len(large) * len(grown)), len(grown))
        return
    from rtree.index import Index  # noqa: PLC0415 - slow to import, and seldom needed

    low, high = grown[:, :2].astype(np.float64), grown[:, 2:].astype(np.float64)
    tree: Any = Index((np.arange(len(grown)), low, high))
    begin, end = 0, min(len(large), max(1, _AT_ONCE // len(grown)))
    while begin < end:
        other, count = tree.intersection_v(low[large[begin:end]], high[large[begin:end]])
        yield np.repeat(np.arange(begin, end), count.astype(np.int64)), other.astype(np.int64)
        at_once = max(1, int((end - begin) * min(16.0, _AT_ONCE / (len(other) + 1))))
        begin, end = end, min(len(large), end + at_once)


def _meet(grown: IntArray, i: IntArray, j: IntArray) -> NDArray[np.bool_]:
    both_ways: NDArray[np.bool_] = (grown[i, :2] <= grown[j, 2:]) & (grown[j, :2] <= grown[i, 2:])
    return both_ways[:, 0] & both_ways[:, 1]


def placed(geometry: GeometryArray, x_mm: FloatArray, y_mm: FloatArray) -> GeometryArray:
    """Geometries moved, each by its own way. Shape (k,)."""
    coordinates, index = shapely.get_coordinates(geometry, return_index=True)
    coordinates[:, 0] += x_mm[index]
    coordinates[:, 1] += y_mm[index]
    moved: GeometryArray = shapely.set_coordinates(geometry.copy(), coordinates)
    return moved


def gaps(
    core: GeometryArray, radius_mm: FloatArray, other: GeometryArray, other_radius_mm: FloatArray
) -> FloatArray:
    """
    Shortest distance between solids, negative where rounded ones overlap. Shape (k,), in mm.

    Exact for the cores given: everything within r of a core is r closer than the core.
    """
    distance: FloatArray = shapely.distance(core, other) - radius_mm - other_radius_mm
    return distance


class Apart(NamedTuple):
    """Pairs of rows of a table of solids, and the way from one origin to the other. Shape (k,) each."""

    one: IntArray
    other: IntArray
    dx_mm: FloatArray
    dy_mm: FloatArray

    def rows(self, rows: IntArray | slice) -> "Apart":
        """Some of the pairs."""
        return Apart(self.one[rows], self.other[rows], self.dx_mm[rows], self.dy_mm[rows])


def cores_apart(core: GeometryArray, pairs: Apart) -> tuple[GeometryArray, GeometryArray]:
    """
    Cores of pairs as they lie to each other. Shape (k,) each.

    The one with more vertices stays in its place: else it would be copied for each of its neighbours.
    """
    vertices = shapely.get_num_coordinates(core)
    first_moves = vertices[pairs.one] < vertices[pairs.other]
    way, moving = np.where(first_moves, -1, 1), np.where(first_moves, pairs.one, pairs.other)
    moved = placed(core[moving], way * pairs.dx_mm, way * pairs.dy_mm)
    stays = core[np.where(first_moves, pairs.other, pairs.one)]
    return np.where(first_moves, moved, stays), np.where(first_moves, stays, moved)


def gaps_apart(core: GeometryArray, radius_mm: FloatArray, pairs: Apart, reach_mm: float) -> FloatArray:
    """
    Gaps as of `gaps`; beyond a reach some are infinite. Shape (k,), in mm.

    Args:
        core: Table of cores. Shape (s,).
        radius_mm: Shape (s,).
        pairs: Rows of the table.
        reach_mm: Largest gap that is of interest.

    Cost:
        Grows with the vertices of all pairs, but only with the logarithm of those of an outline that has very
        many, or very many neighbours.
    """
    gap_mm = np.empty(len(pairs.one))
    for larger, rows in _by_larger(core, pairs):
        first, second = cores_apart(core, pairs.rows(rows))
        radii_mm = radius_mm[pairs.one[rows]] + radius_mm[pairs.other[rows]]
        if larger is None:
            distance_mm = shapely.distance(first, second)
        else:
            neighbour = np.where(pairs.one[rows] == larger, second, first)
            distance_mm = _distances(core[larger], neighbour, reach_mm + float(radii_mm.max()))
        gap_mm[rows] = distance_mm - radii_mm
    return gap_mm


def _by_larger(core: GeometryArray, pairs: Apart) -> Iterator[tuple[int | None, IntArray]]:
    """Pairs, some at a time, and the row of the outline of very many vertices that they have in common."""
    vertices = shapely.get_num_coordinates(core)
    larger = np.where(vertices[pairs.one] < vertices[pairs.other], pairs.other, pairs.one)
    passed = vertices * np.bincount(larger, minlength=len(core))
    is_many = ((vertices > 2 * _PIECE) & (passed > _VERTICES_PASSED))[larger]
    few, many = np.flatnonzero(~is_many), np.flatnonzero(is_many)
    many = many[np.argsort(larger[many], kind="stable")]
    groups = np.split(many, np.flatnonzero(np.diff(larger[many])) + 1) if len(many) else []
    for group in (few, *groups):
        common = None if group is few else int(larger[group[0]])
        for begin in range(0, len(group), _PAIRS_PLACED):
            yield common, group[begin : begin + _PAIRS_PLACED]


def _distances(outline: shapely.Geometry, neighbour: GeometryArray, reach_mm: float) -> FloatArray:
    """Distances from an outline of many vertices, found by an index; infinite beyond a reach. Shape (k,)."""
    distance_mm = np.full(len(neighbour), np.inf)
    piece, row, near = _pieces_near(outline, neighbour, np.full(len(neighbour), reach_mm))
    np.minimum.at(distance_mm, row, shapely.distance(neighbour[row], piece[near]))
    if shapely.get_dimensions(outline) == 2:
        shapely.prepare(outline)
        corner, owner = shapely.get_coordinates(neighbour, return_index=True)
        first = np.flatnonzero(np.diff(owner, prepend=-1))
        distance_mm[shapely.contains_xy(outline, *corner[first].T)] = 0.0  # what crosses the boundary is at 0
    return distance_mm


def places_apart(core: GeometryArray, radius_mm: FloatArray, pairs: Apart, gap_mm: FloatArray) -> FloatArray:
    """
    Places as of `nearest_places`, about the origin of the first of each pair. Shape (k, 2), in mm.

    Args:
        core: Columns as of `gaps_apart`.
        radius_mm: As well.
        pairs: As well.
        gap_mm: The gap of each pair. Shape (k,).
    """
    place = np.empty((len(gap_mm), 2))
    for larger, rows in _by_larger(core, pairs):
        some = pairs.rows(rows)
        first, second = cores_apart(core, some)
        radii_mm = radius_mm[some.one], radius_mm[some.other]
        if larger is not None:
            is_first = some.one == larger
            near = _near_parts(core[larger], np.where(is_first, second, first), gap_mm[rows] + sum(radii_mm))
            first, second = np.where(is_first, near, first), np.where(is_first, second, near)
        place[rows] = nearest_places(first, radii_mm[0], second, radii_mm[1])
    vertices = shapely.get_num_coordinates(core)
    moved = (vertices[pairs.one] < vertices[pairs.other])[:, None]
    place += np.where(moved, np.column_stack([pairs.dx_mm, pairs.dy_mm]), 0.0)
    return place


def _near_parts(
    outline: shapely.Geometry, neighbour: GeometryArray, distance_mm: FloatArray
) -> GeometryArray:
    """The parts of the boundary of an outline that could be so near to each neighbour. Shape (k,)."""
    piece, row, near = _pieces_near(outline, neighbour, distance_mm)
    order = np.argsort(row, kind="stable")
    parts = shapely.multilinestrings(piece[near[order]], indices=row[order])
    return np.asarray(
        shapely.line_merge(parts), dtype=object
    )  # no corner at which two pieces meet comes twice


def _pieces_near(
    outline: shapely.Geometry, neighbour: GeometryArray, reach_mm: FloatArray
) -> tuple[GeometryArray, IntArray, IntArray]:
    """Pieces of a boundary; and pairs of a neighbour and a piece whose boxes are within its reach."""
    piece = _pieces(outline)
    box = shapely.bounds(neighbour).reshape(-1, 4)
    low, high = box[:, :2] - reach_mm[:, None] - _AS_NEAR_MM, box[:, 2:] + reach_mm[:, None] + _AS_NEAR_MM
    row, near = shapely.STRtree(piece).query(shapely.box(*low.T, *high.T))
    return piece, row, near


def _pieces(outline: shapely.Geometry) -> GeometryArray:
    """The boundary of a polygon, or a line, in pieces of some sides each."""
    lines = shapely.get_rings(outline) if shapely.get_dimensions(outline) == 2 else np.array([outline])
    vertex, line = shapely.get_coordinates(lines, return_index=True)
    begin = np.flatnonzero(np.diff(line, prepend=-1))
    sides = np.diff(np.append(begin, len(line))) - 1
    count = -(-sides // _PIECE)
    at = _PIECE * within_runs(count)
    size = np.minimum(np.repeat(sides, count) - at, _PIECE) + 1
    rows = rows_of_runs(np.repeat(begin, count) + at, size)
    owner = np.repeat(np.arange(len(size)), size)
    return np.asarray(shapely.linestrings(vertex[rows], indices=owner), dtype=object)


def nearest_places(
    core: GeometryArray, radius_mm: FloatArray, other: GeometryArray, other_radius_mm: FloatArray
) -> FloatArray:
    """
    The middle of the narrowest place between solids that lie apart. Shape (k, 2), in mm.

    Where sides are parallel, the middle of the stretch along which they face each other: so that rounding
    does not make the place jump from one end to the other. That stretch ends at corners of one or the other.
    """
    pair, one, two = (
        np.concatenate(columns)
        for columns in zip(_from_corners(core, other), _swapped(_from_corners(other, core)), strict=True)
    )
    length = np.hypot(*(two - one).T)
    shortest = np.full(len(core), np.inf)
    np.minimum.at(shortest, pair, length)
    kept = length <= shortest[pair] + _AS_NEAR_MM
    pair, one, two = pair[kept], one[kept], two[kept]
    count = np.bincount(pair, minlength=len(core))
    begin, end = (
        np.column_stack([np.bincount(pair, weights=xy, minlength=len(core)) / count for xy in ends.T])
        for ends in (one, two)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        share = 0.5 + (radius_mm - other_radius_mm) / (2 * np.hypot(*(end - begin).T))
    place: FloatArray = begin + np.nan_to_num(share, nan=0.5, posinf=0.5, neginf=0.5)[:, None] * (end - begin)
    return place


def _from_corners(core: GeometryArray, other: GeometryArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """For each corner of each core: its pair, the corner, and the nearest point of the other core."""
    corner, pair = shapely.get_coordinates(core, return_index=True)
    closing = (shapely.get_dimensions(core) == 2)[pair] & (np.diff(pair, append=-1) != 0)
    corner, pair = corner[~closing], pair[~closing]
    near = _could_be_nearest(core, other, corner, pair)
    corner, pair = corner[near], pair[near]
    lines = shapely.shortest_line(shapely.points(corner), other[pair])
    return pair, corner, shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1]


def _could_be_nearest(
    core: GeometryArray, other: GeometryArray, corner: FloatArray, pair: IntArray
) -> NDArray[np.bool_]:
    """Which corners are as near to the other core as any; all are, where trying each costs little."""
    near = np.ones(len(pair), bool)
    many = shapely.get_num_coordinates(core) * shapely.get_num_coordinates(other) > _TRIED_EACH
    row = np.flatnonzero(many[pair])
    if len(row):
        reach_mm = np.zeros(len(core))
        reach_mm[many] = shapely.distance(core[many], other[many]) + 2 * _AS_NEAR_MM
        shapely.prepare(other[many])
        points = np.asarray(shapely.points(corner[row]), dtype=object)
        reaches: Any = reach_mm[pair[row]]  # one a pair, of which the stubs know nothing
        near[row] = shapely.dwithin(other[pair[row]], points, reaches)
        shapely.destroy_prepared(other[many])
    return near


def _swapped(found: tuple[IntArray, FloatArray, FloatArray]) -> tuple[IntArray, FloatArray, FloatArray]:
    pair, one, two = found
    return pair, two, one
