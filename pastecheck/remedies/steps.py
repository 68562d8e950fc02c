"""Sizes in the steps that people draw in."""

from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.units import UM_PER_MM

STEP_UM: Final = 5
STEP_MM: Final = STEP_UM / UM_PER_MM
"""Sizes are proposed in multiples of this."""
_ON_A_STEP: Final = 1e-6


def stepped_mm(length_mm: FloatArray, *, upward: bool) -> FloatArray:
    """
    Lengths in whole steps, to the safe side; what is on a step but for float rounding stays there.

    Example:
        >>> stepped_mm(np.array([0.2749, 0.275, 0.2751]), upward=False).tolist()
        [0.27, 0.275, 0.275]
    """
    steps = length_mm * UM_PER_MM / STEP_UM
    whole = np.ceil(steps - _ON_A_STEP) if upward else np.floor(steps + _ON_A_STEP)
    stepped: FloatArray = whole * STEP_UM / UM_PER_MM
    return stepped


def whole_um(length_mm: FloatArray) -> IntArray:
    """Lengths to the nearest micrometre."""
    return np.rint(length_mm * UM_PER_MM).astype(np.int64)
