"""Boxes in a grid of cells: what lies in very many windows of one size is added up, not looked at."""

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import offsets, rows_of_runs

_CELLS_A_BOX: Final = 2
_CELLS_A_WINDOW: Final = 24
"""A window is no more cells wide."""

SmallIntArray = NDArray[np.int32]
"""For what there is much of, and what is looked up: half as large as others."""

Pairs = tuple[IntArray, SmallIntArray]
"""Windows, and boxes that may reach into them. Shape (k,) each."""


class Cells(NamedTuple):
    """Columns and rows of cells in which edges of windows lie, or those next to the grid. Shape (2, w)."""

    low: SmallIntArray
    high: SmallIntArray


class _Listed(NamedTuple):
    """Boxes in order of the lines of cells that they touch and, within, of the cells that they begin in."""

    box: SmallIntArray
    begin: SmallIntArray
    """Where each cell begins; one empty line is before the first, and one behind the last."""
    across: int
    """Cells of a line."""

    def pairs(self, line: SmallIntArray | IntArray, first: SmallIntArray, end: SmallIntArray) -> Pairs:
        """Row of each query, and what begins in the cells from the first to before the end of a line."""
        at = (line + 1) * self.across
        begin = self.begin[at + first]
        count = self.begin[at + end] - begin
        return np.repeat(np.arange(len(count)), count), self.box[rows_of_runs(begin, count)]


class Grid:
    """Boxes by the cells that they begin and end in, and what they add up to."""

    def __init__(
        self, bounds_nm: FloatArray, middle_nm: FloatArray, weight: FloatArray, window_nm: float
    ) -> None:
        """
        Sort boxes into cells.

        Args:
            bounds_nm: Min x, min y, max x, max y, whole. Shape (4, k), k > 0.
            middle_nm: A place in each. Shape (2, k).
            weight: What is added up. Shape (k,).
            window_nm: Side of the windows that will be looked at.
        """
        count, largest = len(weight), float((bounds_nm[2:] - bounds_nm[:2]).max())
        self._low_nm = bounds_nm[:2].min(axis=1)
        extent = bounds_nm[2:].max(axis=1) - self._low_nm
        self._side_nm = max(
            window_nm / _CELLS_A_WINDOW if 2 * largest <= window_nm else largest,
            float(np.sqrt(extent.prod() / count / _CELLS_A_BOX)),
            float(extent.max()) / count,
            1.0,
        )
        ends = first, last = self._cell(bounds_nm[:2]), self._cell(bounds_nm[2:])
        self._first, self._last = first, last
        self._size = self._last.max(axis=1, keepdims=True) + 1
        self._span = (self._last - self._first).max(axis=1)
        self._lines, self._columns = self._listed(1), self._listed(0)
        self._is_fine = window_nm // self._side_nm > self._span.max()
        """Whether no box that begins in the cells of one edge of a window ends in those of the other."""
        self._weights = [[_added_up(self._size, x[0], y[1], weight) for y in ends] for x in ends]
        """Weight of boxes that begin (0) or end (1) left of each corner of cells, and below it likewise."""
        self._middles = _added_up(self._size, *self._cell(middle_nm))

    def cells(self, low_nm: FloatArray, high_nm: FloatArray) -> Cells:
        """Where the edges of windows lie. Shape (2, w) each."""
        return Cells(self._cell(low_nm, self._size), self._cell(high_nm, self._size))

    def between_edges(self, cells: Cells) -> FloatArray:
        """Weight of boxes that begin and end between the cells of edges; 0 where `at_edges` has all."""
        if not self._is_fine:
            return np.zeros(cells.low.shape[1])
        (x, y), (x_end, y_end) = np.minimum(cells.low + 1, self._size), np.maximum(cells.high, 0)
        (begun, begun_ended), (ended_begun, ended) = self._weights
        within: FloatArray = ended[x_end, y_end] - begun_ended[x, y_end]
        within -= ended_begun[x_end, y] - begun[x, y]
        return within

    def middles_at_least(self, cells: Cells) -> IntArray:
        """How many middles lie between the cells of edges."""
        low = np.minimum(cells.low + 1, self._size)
        (x, y), (x_end, y_end) = low, np.maximum(cells.high, low)
        count = self._middles
        between: IntArray = count[x_end, y_end] - count[x, y_end] - count[x_end, y] + count[x, y]
        return between

    def at_edges(self, cells: Cells) -> Iterator[tuple[Pairs, bool]]:
        """Windows, and all other boxes that may reach into them, each once; whether all lie within in y."""
        if not self._is_fine:
            yield self.touching(cells), False
            return
        (left, low), (right, high) = cells
        begin, end = np.maximum(left - self._span[0], 0), np.minimum(right + 1, self._size[0])
        for line in (low, high):
            yield self._lines.pairs(line, begin, end), False
        begin = np.minimum(low + 1, self._size[1])
        end = np.maximum(high, begin)
        for line in (left, right):
            window, box = self._columns.pairs(line, begin, end)
            kept = self._last[1][box] < high[window]
            yield (window[kept], box[kept]), True

    def touching(self, cells: Cells) -> Pairs:
        """Windows, and all boxes that may reach into them, each once."""
        (left, low), (right, high) = cells
        low, high = np.maximum(low, 0), np.minimum(high, self._size[1] - 1)
        count = np.maximum(high - low + 1, 0)
        window, line = np.repeat(np.arange(len(low)), count), rows_of_runs(low, count)
        begin = np.clip(left - self._span[0], 0, self._size[0])[window]
        end = np.minimum(right + 1, self._size[0])[window]
        row, box = self._lines.pairs(line, begin, np.maximum(end, begin))
        # one that touches several lines counts in the first of them
        kept = line[row] == np.maximum(self._first[1][box], low[window[row]])
        return window[row[kept]], box[kept]

    def _cell(self, at_nm: FloatArray, size: SmallIntArray | float = np.inf) -> SmallIntArray:
        cell = np.floor((at_nm - self._low_nm[:, None]) / self._side_nm)
        # a window may lie far beyond the grid
        inside: SmallIntArray = np.clip(cell, -1, size).astype(np.int32)
        return inside

    def _listed(self, axis: int) -> _Listed:
        lines, across = int(self._size[axis, 0]), int(self._size[1 - axis, 0])
        count = self._last[axis] - self._first[axis] + 1
        box = np.repeat(np.arange(len(count), dtype=np.int32), count)
        key = (1 + rows_of_runs(self._first[axis], count)) * across + self._first[1 - axis][box]
        begin = offsets(np.bincount(key, minlength=(lines + 2) * across)).astype(np.int32)
        return _Listed(box[np.argsort(key, kind="stable")], begin, across)


def _added_up(
    size: SmallIntArray, column: SmallIntArray, line: SmallIntArray, weight: FloatArray | None = None
) -> FloatArray:
    """Weight, or number, of what stands in cells left of each corner of cells and below it."""
    columns, lines = (size[:, 0] + 1).tolist()
    key = (column + 1) * lines + line + 1
    of_cell = np.bincount(key, weight, minlength=columns * lines)
    table: NDArray[Any] = of_cell.reshape(columns, lines)
    np.cumsum(table, axis=0, out=table)
    return np.cumsum(table, axis=1, out=table)
