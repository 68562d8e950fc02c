"""Circles cut as squares of equal area: a blade follows straight sides, and five balls across are enough."""

import math
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.units import shown

SIDE: Final = math.sqrt(math.pi) / 2
"""Side of a square over the diameter of a circle of equal area: 0.886."""

_SAME: Final = 1e-3


def squares_mm(m: Measurements, rows: IntArray, least_mm: FloatArray | float) -> FloatArray:
    """
    Sides of the squares that openings could be; NaN for what is no circle, or would be too small. Shape (k,).

    Args:
        m: The layer.
        rows: Openings. Shape (k,).
        least_mm: What the sides must be at least. Shape (k,), or one for all.
    """
    width_mm = m.width_mm[rows]
    is_circle = np.abs(m.length_mm[rows] - width_mm) <= _SAME * width_mm
    is_circle &= np.abs(m.area_mm2[rows] - np.pi / 4 * width_mm**2) <= _SAME * m.area_mm2[rows]
    return np.where(is_circle & (SIDE * width_mm >= least_mm), SIDE * width_mm, np.nan)


def as_square(side_mm: float) -> str:
    """
    What is advised of such a circle.

    Example:
        >>> as_square(0.31018)
        'cut it as a square of 0.310 mm, which prints as much'
    """
    return f"cut it as a square of {shown(side_mm, 'mm')}, which prints as much"
