"""Which boxes lie near some others, told roughly by a grid: some too many, none too few."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, IntArray

SmallIntArray = NDArray[np.int32]

_CELLS_A_BOX: Final = 2
"""So many cells of the grid for each box at most, or about."""


def near_some(bounds_nm: IntArray, some_nm: IntArray, reach_nm: int) -> BoolArray:
    """
    Boxes within reach of one of some others; and perhaps some that lie up to two cells of a grid farther.

    Args:
        bounds_nm: Min x, min y, max x, max y. Shape (n, 4).
        some_nm: The others. Shape (k, 4).
        reach_nm: In x and in y. Not negative.

    Returns:
        Shape (n,).

    Cost:
        As the number of boxes, however large they are.
    """
    if not len(some_nm) or not len(bounds_nm):
        return np.zeros(len(bounds_nm), bool)
    low_nm, high_nm = bounds_nm[:, :2].min(axis=0), bounds_nm[:, 2:].max(axis=0)
    extent_nm, most = (high_nm - low_nm).astype(np.float64), _CELLS_A_BOX * len(bounds_nm)
    cell_nm = int(np.ceil(max(reach_nm, np.sqrt(extent_nm.prod() / most), extent_nm.max() / most, 1.0)))
    columns, rows = ((high_nm - low_nm) // cell_nm + 1).tolist()

    def cells(box_nm: IntArray, side: int, off_nm: int, most: int) -> SmallIntArray:
        number = (box_nm[:, side] + off_nm - low_nm[side % 2]) // cell_nm
        return np.asarray(np.clip(number, 0, most - 1), np.int32)

    left, right = (cells(some_nm, side, off_nm, columns) for side, off_nm in ((0, -reach_nm), (2, reach_nm)))
    below, above = (cells(some_nm, side, off_nm, rows) for side, off_nm in ((1, -reach_nm), (3, reach_nm)))
    # +1 where a box begins and -1 behind its end, both ways: added up, how many boxes lie on each cell
    on = np.zeros((columns + 1, rows + 1), np.int32)
    for sign, x, y in (
        (1, left, below),
        (-1, right + 1, below),
        (-1, left, above + 1),
        (1, right + 1, above + 1),
    ):
        np.add.at(on.reshape(-1), x * np.int64(rows + 1) + y, sign)
    _added_up(on)
    # how many marked cells lie left of and below each corner of the grid
    marked = np.zeros_like(on)
    np.minimum(on[:-1, :-1], 1, out=marked[1:, 1:])
    _added_up(marked)
    left, right = cells(bounds_nm, 0, 0, columns), cells(bounds_nm, 2, 0, columns) + 1
    below, above = cells(bounds_nm, 1, 0, rows), cells(bounds_nm, 3, 0, rows) + 1
    on_marked = marked[right, above] - marked[left, above] - marked[right, below] + marked[left, below]
    near: BoolArray = on_marked > 0
    return near


def _added_up(cells: SmallIntArray) -> None:
    """Each cell becomes the sum of all that lie left of and below it, and its own."""
    for axis in (0, 1):
        np.cumsum(cells, axis=axis, out=cells)
