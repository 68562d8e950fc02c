"""How all openings lie off their lands in the same way, though each may lie on a land of another's."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import distinct

SHARE_SHIFTED: Final = 0.8
SAME_SHIFT_MM: Final = 0.02
"""All openings are shifted if at least that share of them lies so close to the median."""

_REACH_MM: Final = 10.0
"""Layers that lie farther off one another hardly meet at all."""
_LEAST: Final = 10
"""Fewer openings could meet pads of others by chance."""
_ASKED: Final = 300
"""So many openings tell as much as all."""
_LEAST_SIDE: Final = 0.6
_MOST_SIDE: Final = 1.4
"""An opening and its pad are as alike as that in both sides (`common practice, no source`)."""
_ROUNDING: Final = 1e-9


class Sized(NamedTuple):
    """Things by their middles and sides. Shape (k, 2) each."""

    middle_mm: FloatArray
    sides_mm: FloatArray
    """Narrow side, long side."""

    def rows(self, rows: IntArray | BoolArray) -> "Sized":
        """Some of them."""
        return Sized(self.middle_mm[rows], self.sides_mm[rows])


def far_shift_mm(openings: Sized, pads: Sized) -> FloatArray | None:
    """
    The way from pads to openings that most openings share, up to 10 mm; None where there is none. Shape (2,).

    Where layers lie off by as much as lands are apart, openings lie on lands of others, each in another way.
    So every pad that is about as large counts for an opening, and the way that comes most often is theirs.

    Args:
        openings: At least 10, or none is told.
        pads: On which they might belong.
    """
    asked = openings.rows(distinct(np.linspace(0, len(openings.middle_mm) - 1, _ASKED).astype(np.int64)))
    if len(asked.middle_mm) < _LEAST or not len(pads.middle_mm):
        return None
    tree = shapely.STRtree(np.asarray(shapely.points(pads.middle_mm), np.object_))
    around = np.asarray(shapely.points(asked.middle_mm), np.object_)
    opening, pad = tree.query(around, predicate="dwithin", distance=_REACH_MM)
    ratio = asked.sides_mm[opening] / pads.sides_mm[pad]
    alike = ((ratio >= _LEAST_SIDE) & (ratio <= _MOST_SIDE)).all(axis=1)
    opening, pad = opening[alike], pad[alike]
    tell = len(distinct(opening))
    if tell < _LEAST:
        return None
    way_mm = asked.middle_mm[opening] - pads.middle_mm[pad]
    median_mm: FloatArray = np.median(way_mm[_most_common(way_mm)], axis=0)
    off_mm = np.hypot(*(way_mm - median_mm).T)
    same = len(distinct(opening[off_mm <= SAME_SHIFT_MM + _ROUNDING]))
    return median_mm if same >= SHARE_SHIFTED * tell else None


def _most_common(way_mm: FloatArray) -> IntArray:
    """
    Rows of the ways that come most often; of several that come as often the shortest.

    Counted in squares of twice what is the same, on four grids: what is the same lies in a square of one.
    """
    best = np.zeros(0, np.int64)
    for shift in ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)):
        square = np.floor(way_mm / (2 * SAME_SHIFT_MM) + shift).astype(np.int64)
        squares, of, count = np.unique(square, axis=0, return_inverse=True, return_counts=True)
        length = np.hypot(*squares.T)
        most = np.lexsort((length, -count))[0]
        if count[most] > len(best):
            best = np.flatnonzero(of.reshape(-1) == most)
    return best
