"""In what order openings are cut: by classes of size, the small ones first, and hopping within each class."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.cuts.hopping import gaps_between_mm, hopping
from pastecheck.drawing import FloatArray, IntArray

SMALL_MM: Final = 0.6
"""What is narrower is cut before all else, slowly (common practice, no source)."""

_BOUNDS_MM: Final = SMALL_MM * 2.0 ** np.arange(-3, 5)
"""Classes end at these widths, each twice as wide as the one before."""
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
    """What is left at least between openings that follow one another; infinite for one."""

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

    Args:
        width_mm: Shape (n,).
        bounds_mm: Boxes about them: min x, min y, max x, max y. Shape (n, 4).
        hop_mm: As of `hopping`.
    """
    of = np.searchsorted(_BOUNDS_MM, width_mm + _ROUNDING_MM, side="right")
    found: list[SizeClass] = []
    ended = np.zeros((0, 4))
    for number in np.flatnonzero(np.bincount(of)).tolist():
        rows = np.flatnonzero(of == number)
        rows = rows[hopping(bounds_mm[rows], hop_mm)]
        # the other way round is as good an order: taken where it begins farther from where the last ended
        ways = (rows, rows[::-1])
        begin = [gaps_between_mm(np.concatenate([ended, bounds_mm[way[:1]]])).sum() for way in ways]
        rows = ways[int(begin[1] > begin[0])]
        gap_mm = gaps_between_mm(np.concatenate([ended, bounds_mm[rows]]))
        low, high = _edges_mm(number)
        found.append(SizeClass(rows, low, high, float(gap_mm.min(initial=np.inf))))
        ended = bounds_mm[rows[-1:]]
    return found


def _edges_mm(number: int) -> tuple[float, float]:
    edges = [0.0, *_BOUNDS_MM.tolist(), np.inf]
    return edges[number], edges[number + 1]
