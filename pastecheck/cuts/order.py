"""In what order openings are cut: by classes of size, the small ones first, and hopping within each class."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.cuts.hopping import gaps_between_mm, hopping
from pastecheck.drawing import FloatArray, IntArray

SMALL_MM: Final = 0.6
"""What is narrower is cut before all else, slowly (common practice, no source)."""

_BOUNDS_MM: Final = SMALL_MM * 2.0 ** np.arange(-3, 5)
"""Classes end at these widths, each twice as wide as the one before."""
_LAST_SMALL: Final = int(np.searchsorted(_BOUNDS_MM, SMALL_MM))
"""Number of the last class below that."""
_ROUNDING_MM: Final = 1e-6


class SizeClass(NamedTuple):
    """Openings of like width, in cutting order."""

    openings: IntArray
    """Rows of the table."""
    from_mm: float
    """0 for the first."""
    to_mm: float
    """Infinite for the last."""
    apart_mm: float
    """What is left at least between openings that follow one another, the last of another class the first."""

    @property
    def name(self) -> str:
        """In words."""
        if self.from_mm == 0:
            return f"under {self.to_mm:g} mm"
        if self.to_mm == np.inf:
            return f"from {self.from_mm:g} mm"
        return f"{self.from_mm:g} to {self.to_mm:g} mm"


def size_classes(width_mm: FloatArray, bounds_mm: FloatArray, hop_mm: float) -> list[SizeClass]:
    """
    Openings in cutting order.

    A class in which nothing can hop is cut together with the next, or the one before, where that helps; but
    what is cut slowly is never cut together with what is not.

    Args:
        width_mm: Shape (n,).
        bounds_mm: Boxes about them: min x, min y, max x, max y. Shape (n, 4).
        hop_mm: As of `hopping`.
    """
    of = np.searchsorted(_BOUNDS_MM, width_mm + _ROUNDING_MM, side="right")
    numbers = np.flatnonzero(np.bincount(of))
    found: list[SizeClass] = []
    for half in (numbers[numbers <= _LAST_SMALL], numbers[numbers > _LAST_SMALL]):
        ranges = [(number, number) for number in half.tolist()]
        ended = bounds_mm[found[-1].openings[-1:]] if found else np.zeros((0, 4))
        cut = _cut(ranges, of, bounds_mm, hop_mm, ended)
        while _apart_mm(cut) < hop_mm:
            tried = [(one, _cut(one, of, bounds_mm, hop_mm, ended)) for one in _joined(ranges, cut)]
            joined, other = max(tried, key=lambda one: _apart_mm(one[1]), default=(ranges, cut))
            if _apart_mm(other) <= _apart_mm(cut):
                break
            ranges, cut = joined, other
        found += cut
    return found


def _joined(ranges: list[tuple[int, int]], cut: list[SizeClass]) -> list[list[tuple[int, int]]]:
    """The class that hops least cut together with the one before it, and with the next."""
    apart = [one.apart_mm for one in cut]
    at = apart.index(min(apart))
    return [
        [*ranges[:first], (ranges[first][0], ranges[first + 1][1]), *ranges[first + 2 :]]
        for first in (at - 1, at)
        if 0 <= first < len(ranges) - 1
    ]


def _apart_mm(cut: list[SizeClass]) -> float:
    return min((one.apart_mm for one in cut), default=np.inf)


def _cut(
    ranges: list[tuple[int, int]], of: IntArray, bounds_mm: FloatArray, hop_mm: float, ended: FloatArray
) -> list[SizeClass]:
    """Classes one after the other, each from one number to another."""
    edges = [0.0, *_BOUNDS_MM.tolist(), np.inf]
    found: list[SizeClass] = []
    for first, last in ranges:
        rows = np.flatnonzero((of >= first) & (of <= last))
        rows = rows[hopping(bounds_mm[rows], hop_mm)]
        # the other way round is as good an order: taken where it begins farther from where the last ended
        ways = (rows, rows[::-1])
        begin = [gaps_between_mm(np.concatenate([ended, bounds_mm[way[:1]]])).sum() for way in ways]
        rows = ways[int(begin[1] > begin[0])]
        gap_mm = gaps_between_mm(np.concatenate([ended, bounds_mm[rows]]))
        found.append(SizeClass(rows, edges[first], edges[last + 1], float(gap_mm.min(initial=np.inf))))
        ended = bounds_mm[rows[-1:]]
    return found
