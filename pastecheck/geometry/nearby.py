"""Which boxes lie near some others, told roughly by a grid: some too many, none too few."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray

_CELLS_A_BOX: Final = 4
"""So many cells of the grid for each box at most, or about."""


def near_some(bounds_nm: IntArray, are_some: BoolArray, reach_nm: int) -> BoolArray:
    """
    Boxes within reach of one of some boxes, those themselves too; and some that lie up to a cell farther.

    Args:
        bounds_nm: Min x, min y, max x, max y. Shape (n, 4).
        are_some: Near which boxes to look. Shape (n,).
        reach_nm: In x and in y. Not negative.

    Returns:
        Shape (n,).

    Cost:
        As the number of boxes, however large they are.
    """
    if not are_some.any():
        return are_some.copy()
    low_nm = bounds_nm[:, :2].min(axis=0)
    extent_nm = (bounds_nm[:, 2:].max(axis=0) - low_nm).astype(np.float64)
    most = _CELLS_A_BOX * len(bounds_nm)
    cell_nm = int(np.ceil(max(reach_nm, np.sqrt(extent_nm.prod() / most), extent_nm.max() / most, 1.0)))
    box = (bounds_nm - np.tile(low_nm, 2)) // cell_nm
    size = box[:, 2:].max(axis=0) + 1
    grown_nm = bounds_nm[are_some] + np.array([-1, -1, 1, 1]) * reach_nm - np.tile(low_nm, 2)
    grown = np.clip(grown_nm // cell_nm, 0, np.tile(size - 1, 2))
    # +1 where a box begins and -1 behind its end, both ways: added up, how many boxes lie on each cell
    on = np.zeros(size + 1, np.int32)
    for sign, x, y in ((1, 0, 1), (-1, 2, 1), (-1, 0, 3), (1, 2, 3)):
        np.add.at(on.reshape(-1), (grown[:, x] + x // 2) * on.shape[1] + grown[:, y] + y // 2, sign)
    _added_up(on)
    np.minimum(on, 1, out=on)
    _added_up(on)
    cells = np.pad(on[:-1, :-1], ((1, 0), (1, 0)))  # how many marked cells lie left of and below each corner
    low_x, low_y, high_x, high_y = box.T
    marked = cells[high_x + 1, high_y + 1] - cells[low_x, high_y + 1]
    marked += cells[low_x, low_y] - cells[high_x + 1, low_y]
    near: BoolArray = marked > 0
    return near


def _added_up(cells: np.ndarray[tuple[int, ...], np.dtype[np.int32]]) -> None:
    """Each cell becomes the sum of all that lie left of and below it, and its own."""
    for axis in (0, 1):
        np.cumsum(cells, axis=axis, out=cells)
