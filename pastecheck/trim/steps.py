"""Sizes in whole steps."""

from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray

SLACK_MM: Final = 0.001
"""What lacks less of a step has it: pitches and sizes of files are rounded (`common practice, no source`)."""
_OF_A_STEP: Final = 0.2
"""But never more of a step than this."""
_ROUNDING_MM: Final = 1e-6


def stepped_down(size_mm: FloatArray, step_mm: float) -> FloatArray:
    """Whole steps, not larger than sizes but for the slack."""
    down: FloatArray = np.round(
        np.floor((size_mm + min(SLACK_MM, _OF_A_STEP * step_mm)) / step_mm) * step_mm, 6
    )
    return down


def stepped_up(size_mm: FloatArray, step_mm: float) -> FloatArray:
    """Whole steps, not smaller than sizes."""
    up: FloatArray = np.round(np.ceil((size_mm - _ROUNDING_MM) / step_mm) * step_mm, 6)
    return up
