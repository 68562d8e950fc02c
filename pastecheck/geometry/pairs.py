"""Close pairs: boxes that come near each other, and the gap between solids."""

from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import within_runs

GeometryArray = NDArray[np.object_]

_CELLS_OF_SMALL_BOX = 12
"""Boxes over more cells of the grid than this are looked up in a tree: a frame must not fill the grid."""

_PAIRS_TRIED = 2_000_000
"""So many pairs of large boxes with any boxes are tried one by one; more are worth a tree."""

_AS_NEAR_MM = 1e-6


class Rows(NamedTuple):
    """Pairs of rows, the lower first. Shape (k,) each, sorted by first, then second."""

    first: IntArray
    second: IntArray


def close_boxes(bounds_nm: IntArray, reach_nm: int = 0) -> Rows:
    """
    Pairs of boxes that are at most `reach_nm` apart in both x and y; touching counts.

    Args:
        bounds_nm: Min x, min y, max x, max y. Shape (n, 4).
        reach_nm: Not negative; an odd one counts as the next even one.

    Cost:
        A grid of cells about as large as the median box; grows with the number of boxes and of pairs.
    """
    if len(bounds_nm) < 2:
        none = np.zeros(0, np.int64)
        return Rows(none, none)
    grown = bounds_nm + np.array([-1, -1, 1, 1]) * -(-reach_nm // 2)
    side = (grown[:, 2:] - grown[:, :2]).max(axis=1)
    cell = max(1, int(np.median(side)))
    low, high = grown[:, :2] // cell, grown[:, 2:] // cell
    across = high - low + 1
    # a product could overflow for boxes of astronomic size; a logarithm cannot
    small = np.log2(across.astype(np.float64)).sum(axis=1) <= np.log2(_CELLS_OF_SMALL_BOX)
    found = [_in_same_cell(np.flatnonzero(small), grown, low, across)]
    if not small.all():
        found.append(_with_large(np.flatnonzero(~small), small, grown))
    first = np.concatenate([pair.first for pair in found])
    second = np.concatenate([pair.second for pair in found])
    order = np.lexsort((second, first))
    return Rows(first[order], second[order])


def _in_same_cell(rows: IntArray, grown: IntArray, low: IntArray, across: IntArray) -> Rows:
    """Pairs of small boxes, met in the lowest cell that both cover, so each pair comes once."""
    count = across[rows].prod(axis=1)
    entry = np.repeat(rows, count)
    nth = within_runs(count)
    cell_x = low[entry, 0] + nth % across[entry, 0]
    cell_y = low[entry, 1] + nth // across[entry, 0]
    key = (cell_x - cell_x.min(initial=0)) * (np.ptp(cell_y) + 1 if len(cell_y) else 1) + cell_y
    order = np.argsort(key, kind="stable")
    entry, cell_x, cell_y, key = entry[order], cell_x[order], cell_y[order], key[order]
    begins = np.flatnonzero(np.diff(key, prepend=key[:1] - 1))
    size = np.diff(np.append(begins, len(key)))
    later = np.repeat(size, size) - 1 - within_runs(size)
    one = np.repeat(np.arange(len(key)), later)
    two = one + 1 + within_runs(later)
    i, j = entry[one], entry[two]
    kept = (cell_x[one] == np.maximum(low[i, 0], low[j, 0])) & (
        cell_y[one] == np.maximum(low[i, 1], low[j, 1])
    )
    kept &= _meet(grown, i, j)
    return Rows(np.minimum(i[kept], j[kept]), np.maximum(i[kept], j[kept]))


def _with_large(large: IntArray, small: NDArray[np.bool_], grown: IntArray) -> Rows:
    """Pairs with at least one large box: few are tried against all boxes, many are looked up in a tree."""
    if len(large) * len(grown) <= _PAIRS_TRIED:
        which, other = np.divmod(np.arange(len(large) * len(grown)), len(grown))
    else:
        from rtree.index import Index  # noqa: PLC0415 - slow to import, and seldom needed

        low, high = grown[:, :2].astype(np.float64), grown[:, 2:].astype(np.float64)
        tree: Any = Index((np.arange(len(grown)), low, high))
        other, count = tree.intersection_v(low[large], high[large])
        which = np.repeat(np.arange(len(large)), count.astype(np.int64))
    i, j = large[which], other.astype(np.int64)
    kept = ((i < j) | small[j]) & (i != j)
    i, j = i[kept], j[kept]
    met = _meet(grown, i, j)
    return Rows(np.minimum(i, j)[met], np.maximum(i, j)[met])


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
    lines = shapely.shortest_line(shapely.points(corner), other[pair])
    return pair, corner, shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1]


def _swapped(found: tuple[IntArray, FloatArray, FloatArray]) -> tuple[IntArray, FloatArray, FloatArray]:
    pair, one, two = found
    return pair, two, one
