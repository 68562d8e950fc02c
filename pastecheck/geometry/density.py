"""How much of the sheet around each opening is cut away."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.across import clipped
from pastecheck.ragged import distinct, offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_PAIRS_AT_ONCE: Final = 2_000_000
_CELLS: Final = 12
"""So many cells at most make half the side of a window."""
_WINDOWS_AT_ONCE: Final = 8_192
_ORDERS_OF_SIZE: Final = 4.0
"""Openings larger than half a window over this are searched apart, those of each double size together."""
_WORTH_A_SIDE_MM2: Final = 0.002
"""What is unsure of an opening is worth clipping it if it is so much for each of its sides."""
_MANY_SIDES: Final = 500
"""Outlines of more sides are cut by a tree, those of fewer side by side."""
_ROUNDING: Final = 1e-9
_LEVEL_MM: Final = 1e-7
"""A side that rises by less is level."""


class Placed(NamedTuple):
    """Outlines and where they lie."""

    outline: GeometryArray
    """Distinct polygons in mm, each about its own origin. Shape (s,)."""
    shape: IntArray
    """Row of `outline`. Shape (n,)."""
    origin_nm: IntArray
    """Shape (n, 2)."""


class OpenFraction(NamedTuple):
    """Shape (n,) each; NaN with too few openings in the window."""

    value: FloatArray
    error: FloatArray


def open_fraction(
    place_nm: IntArray,
    bounds_nm: IntArray,
    area_mm2: FloatArray,
    placed: Placed | None = None,
    window_mm: float = 10.0,
    least: int = 6,
) -> OpenFraction:
    """
    Share of a square window centred on each opening that is open.

    An opening that crosses the window's edge counts with the share of its box that lies inside; with what its
    outline has inside where that may differ by much.

    Args:
        place_nm: Centres of the openings. Shape (n, 2).
        bounds_nm: Boxes about them: min x, min y, max x, max y. Shape (n, 4).
        area_mm2: Their areas, not larger than the boxes. Shape (n,).
        placed: Their outlines; without them all count by their boxes.
        window_mm: Side of the window.
        least: NaN with fewer centres in the window, its edge included.

    Returns:
        Exact for rectangles parallel to the window. Of others that cross the edge and fill a part f of their
        box, each is off by at most (1 - f) of its area: inside the part of the box there is at most all of
        the opening, and at least what the rest of the box cannot hold. The sum of these is the error; those
        that are clipped add nothing to it.

    Cost:
        Proportional to the pairs of a window and an opening about its edge; what lies within is added up by
        cells: 0.3 s for 100,000 openings at one a mm2.
    """
    sums = np.zeros((3, len(place_nm)))
    if not len(place_nm):
        return OpenFraction(sums[0], sums[1])
    half_nm = round(window_mm * NM_PER_MM / 2)
    size_nm = (bounds_nm[:, 2:] - bounds_nm[:, :2]).astype(np.float64)
    box_mm2 = size_nm.prod(axis=1) / NM_PER_MM**2
    filled = np.minimum(area_mm2 / box_mm2, 1.0)
    sides = _sides_of(placed)
    unsure = box_mm2 * filled * (1 - filled)
    clipped = unsure > _WORTH_A_SIDE_MM2 * sides.sides if sides else np.zeros(len(filled), bool)
    some = _Some(place_nm.T.astype(np.float64), bounds_nm.T.astype(np.float64), filled, box_mm2, clipped)
    # openings of one order of size are searched together: a frame must not widen the search for all others
    order_of_size = np.ceil(np.log2(np.maximum(size_nm.max(axis=1) / half_nm * _ORDERS_OF_SIZE, 1.0)))
    for one in distinct(order_of_size).tolist():
        _add(half_nm, (some, np.flatnonzero(order_of_size == one)), sides, sums)
    open_mm2, unsure_mm2, count = sums
    share, error = (np.where(count >= least, of / window_mm**2, np.nan) for of in (open_mm2, unsure_mm2))
    return OpenFraction(share, error)


class _Some(NamedTuple):
    """Openings, each column by itself, as it is read for many pairs."""

    place_nm: FloatArray
    """Shape (2, n)."""
    bounds_nm: FloatArray
    """Shape (4, n)."""
    filled: FloatArray
    """Share of the box."""
    box_mm2: FloatArray
    clipped: BoolArray
    """Whether the outline is clipped where it crosses a window."""


class _Sides(NamedTuple):
    """Sides of distinct outlines, the inside to the left, and which each opening has."""

    begin_mm: FloatArray
    """Shape (2, sides)."""
    end_mm: FloatArray
    first: IntArray
    """Row of the first side of each opening."""
    sides: IntArray
    """How many sides each has."""
    placed: Placed


def _sides_of(placed: Placed | None) -> _Sides | None:
    if placed is None:
        return None
    rings, owner = shapely.get_rings(shapely.orient_polygons(placed.outline), return_index=True)
    at, ring = shapely.get_coordinates(rings, return_index=True)
    within = np.flatnonzero(ring[1:] == ring[:-1])
    count = np.bincount(owner[ring[within]], minlength=len(placed.outline))
    first = offsets(count)[:-1]
    return _Sides(
        at[within].T.copy(),
        at[within + 1].T.copy(),
        first[placed.shape],
        count[placed.shape],
        placed,
    )


class _Cells(NamedTuple):
    """A grid of cells, and the openings whose place is in each."""

    low_nm: FloatArray
    """Lower left corner. Shape (2,)."""
    side_nm: float
    size: tuple[int, int]
    """Columns and rows."""
    by: tuple[tuple[IntArray, IntArray], tuple[IntArray, IntArray]]
    """
    Openings in order of columns and, within, of cells upward; and where each cell begins. Then the same in
    order of rows.
    """
    sums: FloatArray
    """Area and number of openings to the left and below each corner. Shape (2, columns + 1, rows + 1)."""


def _cells_of(some: _Some, rows: IntArray, least_nm: float) -> _Cells:
    """A grid over some openings, whose cells are no smaller than said and not much more than the openings."""
    place = some.place_nm[:, rows]
    low = place.min(axis=1)
    extent = place.max(axis=1) - low
    side = max(least_nm, float(np.sqrt(extent.prod() / len(rows))), float(extent.max()) / len(rows), 1.0)
    cell = ((place - low[:, None]) / side).astype(np.int64)
    columns, lines = (int(each.max()) + 1 for each in cell)
    by = []
    for major, minor, size in ((cell[0], cell[1], lines), (cell[1], cell[0], columns)):
        key = major * size + minor
        begin = np.searchsorted(key[order := np.argsort(key, kind="stable")], np.arange(columns * lines + 1))
        by.append((rows[order], begin))
    key = cell[0] * lines + cell[1]
    area = some.box_mm2[rows] * some.filled[rows]
    sums = np.zeros((2, columns + 1, lines + 1))
    for of, weight in enumerate((area, np.ones(len(rows)))):
        filled = np.bincount(key, weights=weight, minlength=columns * lines).reshape(columns, lines)
        sums[of, 1:, 1:] = filled.cumsum(axis=0).cumsum(axis=1)
    return _Cells(low, side, (columns, lines), (by[0], by[1]), sums)


def _add(half_nm: int, group: tuple[_Some, IntArray], sides: _Sides | None, sums: FloatArray) -> None:
    """
    Add a group of openings to all windows: what they open, what is unsure, how many places lie inside.

    Cells whose openings lie inside the window whole are added as they are; only the openings of cells around
    its edge are looked at one by one.
    """
    some, rows = group
    beyond = np.abs(some.bounds_nm[:, rows] - np.tile(some.place_nm[:, rows], (2, 1))).max()
    cells = _cells_of(some, rows, max(float(beyond), half_nm / _CELLS))
    inner, outer = half_nm - float(beyond) * (1 + _ROUNDING), (half_nm + float(beyond)) * (1 + _ROUNDING)
    for first in range(0, len(sums[0]), _WINDOWS_AT_ONCE):
        windows = np.arange(first, min(first + _WINDOWS_AT_ONCE, len(sums[0])))
        at = some.place_nm[:, windows] - cells.low_nm[:, None]
        (x_out, x_in), (y_out, y_in) = (
            _ranges(at[axis] / cells.side_nm, inner / cells.side_nm, outer / cells.side_nm, cells.size[axis])
            for axis in (0, 1)
        )
        empty = (x_in[0] == x_in[1]) | (y_in[0] == y_in[1])
        for edge in y_in:
            edge[empty] = y_out[1][empty]
        for table, of in zip(cells.sums, (0, 2), strict=True):
            sums[of, windows] += table[x_in[1], y_in[1]] - table[x_in[0], y_in[1]]
            sums[of, windows] -= table[x_in[1], y_in[0]] - table[x_in[0], y_in[0]]
        # below and above in lines from end to end, left and right of the inner cells in columns between
        for by, lines, ends in (
            (1, (y_out[0], y_in[0]), x_out),
            (1, (y_in[1], y_out[1]), x_out),
            (0, (x_out[0], x_in[0]), y_in),
            (0, (x_in[1], x_out[1]), y_in),
        ):
            row, opening, pairs = _around(cells, by, lines, ends)
            sums[:, windows[row]] += _sums(some, windows[row], half_nm, (opening, pairs), sides)


_Range = tuple[IntArray, IntArray]
"""From and to, for each window."""


def _ranges(at: FloatArray, inner: float, outer: float, last: int) -> tuple[_Range, _Range]:
    """Cells along an axis that may reach into each window, and those that lie in it; all in cells."""
    low = np.clip(np.floor(at - outer).astype(np.int64), 0, last)
    high = np.clip(np.floor(at + outer).astype(np.int64) + 1, 0, last)
    low_in = np.clip(np.ceil(at - inner).astype(np.int64), low, high)
    return (low, high), (low_in, np.clip(np.floor(at + inner).astype(np.int64), low_in, high))


def _around(cells: _Cells, by: int, lines: _Range, ends: _Range) -> tuple[IntArray, IntArray, IntArray]:
    """Rows of windows, the openings in lines of cells from end to end, and how many each window has."""
    members, begin = cells.by[by]
    count = (lines[1] - lines[0]) * (ends[1] > ends[0])
    row = np.flatnonzero(count)
    if not len(row):
        return row, row, row
    window = np.repeat(row, count[row])
    line = rows_of_runs(lines[0][row], count[row]) * cells.size[1 - by]
    first, last = begin[line + ends[0][window]], begin[line + ends[1][window]]
    pairs = np.add.reduceat(last - first, offsets(count[row])[:-1])
    return row, members[rows_of_runs(first, last - first)], pairs


def _sums(
    some: _Some, windows: IntArray, half_nm: int, near: tuple[IntArray, IntArray], sides: _Sides | None
) -> FloatArray:
    """The three sums of windows, each with so many openings near it. Shape (3, windows)."""
    opening, pairs = near
    overlap, off_middle = np.full(len(opening), 1 / NM_PER_MM**2), np.zeros(len(opening))
    for axis in (0, 1):
        middle = np.repeat(some.place_nm[axis][windows], pairs)
        high = np.minimum(some.bounds_nm[axis + 2][opening] - middle, half_nm)
        high -= np.maximum(some.bounds_nm[axis][opening] - middle, -half_nm)
        overlap *= np.maximum(high, 0.0, out=high)
        np.maximum(off_middle, np.abs(some.place_nm[axis][opening] - middle), out=off_middle)
    box = some.box_mm2[opening]
    crossing = np.flatnonzero((overlap > 0) & (overlap < box * (1 - _ROUNDING)))
    filled = some.filled[opening]
    overlap *= filled
    unsure = np.zeros(len(opening))
    unsure[crossing] = (box * filled * (1 - filled))[crossing]
    window = np.repeat(np.arange(len(windows)), pairs)
    cut = crossing[some.clipped[opening[crossing]]]
    if sides and len(cut):
        overlap[cut], unsure[cut] = (
            _clipped(sides, opening[cut], some.place_nm[:, windows[window[cut]]], half_nm),
            0.0,
        )
    columns = (overlap, unsure, (off_middle <= half_nm).astype(np.float64))
    return np.stack([np.bincount(window, weights=of, minlength=len(windows)) for of in columns])


def _clipped(sides: _Sides, opening: IntArray, middle_nm: FloatArray, half_nm: int) -> FloatArray:
    """Area of openings inside windows."""
    area = np.zeros(len(opening))
    is_large = sides.sides[opening] > _MANY_SIDES
    few = np.flatnonzero(~is_large)
    batch = np.cumsum(sides.sides[opening[few]]) // _PAIRS_AT_ONCE
    for part in np.split(few, np.flatnonzero(np.diff(batch)) + 1):
        area[part] = _integrated(sides, opening[part], middle_nm[:, part], half_nm)
    shape = sides.placed.shape[opening]
    for one in distinct(shape[is_large]).tolist():
        rows = np.flatnonzero(is_large & (shape == one))
        middle = (middle_nm[:, rows].T - sides.placed.origin_nm[opening[rows]]) / NM_PER_MM
        half = half_nm / NM_PER_MM
        area[rows] = _areas_in(sides.placed.outline[one], np.hstack([middle - half, middle + half]))
    return area


def _areas_in(outline: shapely.Geometry, box_mm: FloatArray) -> FloatArray:
    """Area of one outline of many sides in each of many boxes; most of these its walls do not cross."""
    box = np.asarray(shapely.box(*box_mm.T), dtype=object)
    shapely.prepare(outline)
    area = np.where(shapely.contains_properly(outline, box), shapely.area(box), 0.0)
    crossed = np.flatnonzero(shapely.intersects(outline, box) & (area == 0))
    area[crossed] = shapely.area(clipped(outline, box_mm[crossed]))
    return area


def _integrated(sides: _Sides, opening: IntArray, middle_nm: FloatArray, half_nm: int) -> FloatArray:
    """
    Area of openings inside windows: the integral along their sides of the height above the window's edge.

    The height is held within the window, so that what lies below and above cancels out; the sides within the
    window's width go left above the opening and right below it.
    """
    count = sides.sides[opening]
    side = rows_of_runs(sides.first[opening], count)
    low = (middle_nm - half_nm - sides.placed.origin_nm[opening].T) / NM_PER_MM
    low_x, low_y = (np.repeat(edge, count) for edge in low)
    (ax, ay), (bx, by) = sides.begin_mm[:, side], sides.end_mm[:, side]
    high_x = low_x + 2 * half_nm / NM_PER_MM
    begin, end = np.clip(ax, low_x, high_x), np.clip(bx, low_x, high_x)
    slope = np.divide(by - ay, bx - ax, out=np.zeros(len(side)), where=bx != ax)
    part_mm2 = (begin - end) * _mean_height(
        ay + slope * (begin - ax) - low_y, ay + slope * (end - ax) - low_y, 2 * half_nm / NM_PER_MM
    )
    window = np.repeat(np.arange(len(opening)), count)
    return np.asarray(np.bincount(window, part_mm2, minlength=len(opening)), np.float64)


def _mean_height(begin: FloatArray, end: FloatArray, most: float) -> FloatArray:
    """Mean of heights that change evenly from one to another, each held between 0 and the most."""
    rise = end - begin
    level = np.abs(rise) < _LEVEL_MM
    held = np.clip(np.stack([begin, end]), 0.0, most)
    # the integral of the held height, by the height
    below = held**2 / 2 + most * np.maximum(np.stack([begin, end]) - most, 0.0)
    mean: FloatArray = np.divide(below[1] - below[0], rise, out=held.mean(axis=0), where=~level)
    return mean
