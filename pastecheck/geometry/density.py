"""How much of the sheet around each opening is cut away."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.across import clipped
from pastecheck.geometry.grids import Grid
from pastecheck.ragged import distinct, offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_PAIRS_AT_ONCE: Final = 2_000_000
_WINDOWS_AT_ONCE: Final = 4_096
"""So few that what is computed of them stays in the processor's cache."""
_PAIRS_A_MIDDLE: Final = 16
"""A window that may hold too few middles has no more openings near it than so many times what it wants."""
_SIZES: Final = 2.0
"""Openings larger than half a window over this are looked up apart, those of each double size together."""
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
        cells: 0.1 s for 100,000 openings at 0.2 a mm2.
    """
    count = len(place_nm)
    if not count:
        return OpenFraction(np.zeros(0), np.zeros(0))
    half_nm = round(window_mm * NM_PER_MM / 2)
    sides = _sides_of(placed)
    some, groups = _columns(place_nm, bounds_nm, area_mm2, half_nm, sides)
    grids = [(some.grid(rows, area_mm2[rows], 2 * half_nm), rows) for rows in groups]
    at_once = max(1, _PAIRS_AT_ONCE // (_PAIRS_A_MIDDLE * least))
    open_mm2, unsure_mm2, are_enough = np.zeros(count), np.zeros(count), np.zeros(count, bool)
    for first in range(0, count, _WINDOWS_AT_ONCE):
        windows = slice(first, first + _WINDOWS_AT_ONCE)
        middle_nm = some.place_nm[:, windows]
        open_mm2[windows], unsure_mm2[windows], sure = _open(some, sides, grids, middle_nm, half_nm)
        are_enough[windows] = sure >= least
        unsure = first + np.flatnonzero(sure < least)
        for few in np.split(unsure, range(at_once, len(unsure), at_once)):
            are_enough[few] = _middles_within(some, grids, some.place_nm[:, few], half_nm) >= least
    share, error = (np.where(are_enough, of / window_mm**2, np.nan) for of in (open_mm2, unsure_mm2))
    return OpenFraction(share, error)


class _Some(NamedTuple):
    """Openings, each column by itself, as it is read for many pairs."""

    place_nm: FloatArray
    """Shape (2, n)."""
    bounds_nm: FloatArray
    """Shape (4, n)."""
    density: FloatArray
    """Share of the box that is open, for each mm2 in nm2."""
    nearly_mm2: FloatArray
    """A hair less than the area of openings that do not fill their box; 0 for all others."""
    unsure_mm2: FloatArray
    """How far what lies in a part of the box may be off its share."""
    clipped: BoolArray
    """Whether the outline is clipped where it crosses a window."""

    def grid(self, rows: IntArray, area_mm2: FloatArray, window_nm: int) -> Grid:
        """Some of them, sorted into cells."""
        # `take` leaves each column in one piece, as an index would not
        return Grid(self.bounds_nm.take(rows, axis=1), self.place_nm.take(rows, axis=1), area_mm2, window_nm)


def _columns(
    place_nm: IntArray, bounds_nm: IntArray, area_mm2: FloatArray, half_nm: int, sides: "_Sides | None"
) -> tuple[_Some, list[IntArray]]:
    """Columns of all openings, and rows of those that are looked up together."""
    width_nm, height_nm = (bounds_nm[:, 2:] - bounds_nm[:, :2]).T.astype(np.float64)
    box_mm2 = width_nm * height_nm / NM_PER_MM**2
    filled = np.minimum(area_mm2 / box_mm2, 1.0)
    unsure_mm2 = box_mm2 * filled * (1 - filled)
    some = _Some(
        place_nm.T.astype(np.float64, order="C"),
        bounds_nm.T.astype(np.float64, order="C"),
        filled / NM_PER_MM**2,
        np.where(unsure_mm2 > 0, box_mm2 * filled * (1 - _ROUNDING), 0.0),
        unsure_mm2,
        unsure_mm2 > _WORTH_A_SIDE_MM2 * sides.sides if sides else np.zeros(len(filled), bool),
    )
    # openings of one order of size are looked up together: a frame must not widen the search for all others
    order_of_size = np.ceil(np.log2(np.maximum(np.maximum(width_nm, height_nm) / half_nm * _SIZES, 1.0)))
    orders = distinct(order_of_size).tolist()
    return some, [np.flatnonzero(order_of_size == one) for one in orders]


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


_Group = tuple[Grid, IntArray]
"""Openings of one order of size, and their rows."""


def _open(
    some: _Some, sides: _Sides | None, grids: list[_Group], middle_nm: FloatArray, half_nm: int
) -> tuple[FloatArray, FloatArray, IntArray]:
    """Area that is open in each window, how much of it is unsure, and how many openings surely lie in it."""
    open_mm2, unsure_mm2 = sums = np.zeros((2, middle_nm.shape[1]))
    count = np.zeros(middle_nm.shape[1], np.int64)
    for grid, rows in grids:
        cells = grid.cells(middle_nm - half_nm, middle_nm + half_nm)
        open_mm2 += grid.between_edges(cells)
        count += grid.middles_at_least(cells)
        for (window, box), are_within_y in grid.at_edges(cells):
            _add(some, sides, (window, rows[box], are_within_y), (middle_nm, half_nm), sums)
    return open_mm2, unsure_mm2, count


def _add(
    some: _Some,
    sides: _Sides | None,
    pair: tuple[IntArray, IntArray, bool],
    windows: tuple[FloatArray, int],
    sums: FloatArray,
) -> None:
    """Add what openings have in windows to the sums of these, pair by pair."""
    (window, opening, are_within_y), (middle_nm, half_nm) = pair, windows
    overlap = some.density[opening]
    if are_within_y:
        overlap *= some.bounds_nm[3][opening] - some.bounds_nm[1][opening]
    for axis in (0,) if are_within_y else (0, 1):
        middle = middle_nm[axis][window]
        high = np.minimum(some.bounds_nm[axis + 2][opening] - middle, half_nm)
        high -= np.maximum(some.bounds_nm[axis][opening] - middle, -half_nm)
        overlap *= np.maximum(high, 0.0, out=high)
    count = sums.shape[1]
    partly = np.flatnonzero((overlap > 0) & (overlap < some.nearly_mm2[opening]))
    unsure_mm2 = some.unsure_mm2[opening[partly]]
    cut = np.flatnonzero(some.clipped[opening[partly]])
    if sides and len(cut):
        rows = partly[cut]
        overlap[rows] = _clipped(sides, opening[rows], middle_nm[:, window[rows]], half_nm)
        unsure_mm2[cut] = 0.0
    sums[0] += np.bincount(window, weights=overlap, minlength=count)
    sums[1] += np.bincount(window[partly], weights=unsure_mm2, minlength=count)


def _middles_within(some: _Some, grids: list[_Group], middle_nm: FloatArray, half_nm: int) -> IntArray:
    """How many openings have their middles in each window, its edge included. Shape (windows,)."""
    count = np.zeros(middle_nm.shape[1], np.int64)
    for grid, rows in grids:
        window, box = grid.touching(grid.cells(middle_nm - half_nm, middle_nm + half_nm))
        for axis in (0, 1):
            off = np.abs(some.place_nm[axis][rows[box]] - middle_nm[axis][window])
            window, box = window[off <= half_nm], box[off <= half_nm]
        count += np.bincount(window, minlength=len(count))
    return count


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
