"""How often straight sides cross one another, told without making what is between them."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import TooManyPairsError, close_boxes
from pastecheck.limits import Limits
from pastecheck.units import NM_PER_MM


class Sides(NamedTuple):
    """Straight sides, from one corner to the next. Shape (k, 2) each, in mm."""

    begin: FloatArray
    end: FloatArray

    def crossing(self, limits: Limits) -> tuple[IntArray, IntArray]:
        """
        Pairs of sides that cross or touch, the lower row first.

        Raises:
            TooMuchError: If too many may do so for them to be looked at: those whose boxes meet.
        """
        low, high = np.minimum(self.begin, self.end), np.maximum(self.begin, self.end)
        box_nm = np.rint(np.concatenate([low, high], axis=1) * NM_PER_MM).astype(np.int64)
        try:
            one, other = close_boxes(box_nm, most=limits.overlaps)
        except TooManyPairsError as found:
            what = f"up to {found.bound} sides of outlines lie across each other"
            raise TooMuchError(
                f"{what}; at most {limits.overlaps} are read", "overlaps", found.bound
            ) from None
        crossing = self._on_both_hands(one, other) & self._on_both_hands(other, one)
        return one[crossing], other[crossing]

    def _on_both_hands(self, one: IntArray, other: IntArray) -> BoolArray:
        """Whether the ends of `other` lie on different hands of `one`, or on it. Shape (k,)."""
        way = self.end[one] - self.begin[one]
        hand = [
            way[:, 0] * (end[:, 1] - self.begin[one, 1]) - way[:, 1] * (end[:, 0] - self.begin[one, 0])
            for end in (self.begin[other], self.end[other])
        ]
        both: BoolArray = np.sign(hand[0]) * np.sign(hand[1]) <= 0
        return both
