"""The page: where things that are scaled about its middle come to lie, as SVG has it."""

from typing import NamedTuple

import numpy as np

from pastecheck.cuts.paths import TextArray, mm_texts
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.units import NM_PER_MM


class Page(NamedTuple):
    """A page, and by what all that lies on it is scaled. Its middle stays in its place."""

    width_mm: float
    height_mm: float
    scale: FloatArray
    """In x and in y. Shape (2,)."""

    @property
    def middle_mm(self) -> FloatArray:
        """From the lower left corner. Shape (2,)."""
        return np.array([self.width_mm, self.height_mm]) / 2

    def scaled_nm(self, place_nm: IntArray) -> IntArray:
        """Where places come to lie; all are told from the middle of the page, y pointing up. Shape (k, 2)."""
        scaled: IntArray = np.rint(place_nm * self.scale).astype(np.int64)
        return scaled

    def begins(self, place_nm: IntArray) -> TextArray:
        """
        Scaled places as the first commands of paths: from the upper left corner, y pointing down.

        Texts are put together as columns, without a loop over them. Shape (k,).
        """
        middle_nm = np.rint(self.middle_mm * NM_PER_MM).astype(np.int64)
        x, y = mm_texts(middle_nm + place_nm * np.array([1, -1])).T
        found: TextArray = "M" + x + "," + y
        return found
