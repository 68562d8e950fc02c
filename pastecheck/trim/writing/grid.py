"""The unit of a layer file, and the grid that its numbers lie on."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings, boxes_nm
from pastecheck.units import MM_PER_INCH, NM_PER_MM

_DECIMALS: Final = 6
"""The most that a format may have (Gerber 2023.08, 4.2.2)."""
_MOST_DIGITS: Final = 6


@dataclass(frozen=True, slots=True)
class Grid:
    """Coordinates with six decimals of the unit."""

    unit: str
    """MM or IN, as the format calls it."""
    mm_per_unit: float
    digits: int
    """Before the decimal point."""

    @property
    def step_nm(self) -> float:
        """The last digit of a coordinate."""
        return self.mm_per_unit * NM_PER_MM / 10**_DECIMALS

    @property
    def statements(self) -> list[str]:
        """Format and unit."""
        form = f"{self.digits}{_DECIMALS}"
        return [f"%FSLAX{form}Y{form}*%", f"%MO{self.unit}*%"]

    def rounded(self, place_nm: FloatArray) -> IntArray:
        """Coordinates as they are written."""
        found: IntArray = np.rint(place_nm / self.step_nm).astype(np.int64)
        return found

    def size(self, size_mm: float) -> str:
        """A size of an aperture, to a quarter of a nanometre at least."""
        return plain(size_mm / self.mm_per_unit, _DECIMALS + 2)


def grid_of(openings: Openings) -> Grid:
    """The unit of the source, and room for the farthest place."""
    mm_per_unit = MM_PER_INCH if openings.in_inches else 1.0
    boxes = boxes_nm(openings.shapes, openings.shape, openings.x_nm, openings.y_nm)
    farthest = float(np.abs(boxes).max(initial=0)) / NM_PER_MM / mm_per_unit
    digits = min(max(4, len(str(int(farthest + 1)))), _MOST_DIGITS)
    return Grid("IN" if openings.in_inches else "MM", mm_per_unit, digits)


def plain(number: float, decimals: int) -> str:
    """A decimal number without trailing zeros, and never with an exponent."""
    text = f"{number:z.{decimals}f}".rstrip("0")
    return f"{text}0" if text.endswith(".") else text
