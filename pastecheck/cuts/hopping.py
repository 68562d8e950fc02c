"""
In what order things are cut, so that neighbours never come one after the other.

Things are ranked along the axis in which they spread farther. Cut one stands s ranks from the next:

- There is a least s by which everything of rank r lies, along the axis, at least the hop before everything
  of rank r + s or higher. Ranks 0, s, 2 s, ... are cut, then 1, s + 1, ..., and so on. Within such a chain
  ranks differ by s. Chain k ends at a rank of n - s or higher and the next begins at k + 1 < s, so there
  they differ by at least n - 2 s + 1, which is s or more as long as n >= 3 s - 1.
- Where things are too few or too crowded for that, the two halves take turns: h, 0, h + 1, 1, ... with
  h = n // 2. Ranks differ by h at least, and there is no order in which they differ by more: that is the
  antibandwidth of a path (from memory; tested for few).

The price is travel: a hop goes anywhere along the other axis, a third of the sheet on average. Lanes along
the axis, one after the other, were tried: they took a seventh off on real boards, for twice the time.
"""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import rows_of_runs


class _Ranked(NamedTuple):
    """Things along an axis."""

    order: IntArray
    end_mm: FloatArray
    """How far things of each rank and of all below it reach."""
    begin_mm: FloatArray
    """Where the first thing of each rank or of one above it begins."""

    def gap_mm(self, ranks: int) -> float:
        """What is left between things that are so many ranks apart, or more; negative where they overlap."""
        if not 0 < ranks < len(self.order):
            return np.inf
        return float((self.begin_mm[ranks:] - self.end_mm[:-ranks]).min())


def hopping(bounds_mm: FloatArray, hop_mm: float) -> IntArray:
    """
    Rows of things in the order in which they are cut.

    Args:
        bounds_mm: Boxes: min x, min y, max x, max y. Shape (n, 4).
        hop_mm: What is to be left, along one axis, between things that follow one another.

    Returns:
        Each row once. Shape (n,). Deterministic: ties go by the other axis, then by row.
    """
    count = len(bounds_mm)
    half = max(count // 2, 1)
    ranked = max((_ranked(bounds_mm, axis) for axis in (0, 1)), key=lambda one: one.gap_mm(half))
    most = (count + 1) // 3
    if most < 1 or ranked.gap_mm(most) < hop_mm:
        return ranked.order[_halves(count)]
    low, high = 1, most
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if ranked.gap_mm(middle) >= hop_mm else (middle + 1, high)
    begin = np.arange(low)
    return ranked.order[low * _steps(count, low) + np.repeat(begin, -(-(count - begin) // low))]


def _steps(count: int, stride: int) -> IntArray:
    """0, 1, 2, ... for each chain of ranks."""
    begin = np.arange(stride)
    return rows_of_runs(np.zeros(stride, np.int64), -(-(count - begin) // stride))


def _halves(count: int) -> IntArray:
    """Ranks of the upper half and of the lower one by turns."""
    half = count // 2
    ranks = np.empty(count, np.int64)
    ranks[0::2] = np.arange(half, count)[: len(ranks[0::2])]
    ranks[1::2] = np.arange(half)
    return ranks


def _ranked(bounds_mm: FloatArray, axis: int) -> _Ranked:
    middle_mm = bounds_mm[:, :2] + bounds_mm[:, 2:]
    order = np.lexsort((middle_mm[:, 1 - axis], middle_mm[:, axis]))
    end_mm = np.maximum.accumulate(bounds_mm[order, 2 + axis])
    begin_mm = np.minimum.accumulate(bounds_mm[order, axis][::-1])[::-1]
    return _Ranked(order, end_mm, begin_mm)


def gaps_between_mm(bounds_mm: FloatArray) -> FloatArray:
    """What is left between boxes that follow one another, 0 where they meet. Shape (n - 1,)."""
    low, high = bounds_mm[:, :2], bounds_mm[:, 2:]
    apart = np.maximum(np.maximum(low[1:] - high[:-1], low[:-1] - high[1:]), 0.0)
    gap_mm: FloatArray = np.hypot(*apart.T)
    return gap_mm
