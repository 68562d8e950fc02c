"""How far walls have to move until so much of an area is left; for many outlines at once."""

from collections.abc import Callable
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray

NEAR: Final = 1e-7
"""An area that is off by no more of it is met."""
_STEPS: Final = 50
"""Ten do, as a rule."""


def solved(
    left_mm2: Callable[[FloatArray], FloatArray], wanted_mm2: FloatArray, most_mm: FloatArray
) -> FloatArray:
    """
    How far walls move until what is left is what is wanted. Shape (k,).

    By false position (the Illinois rule: from memory), for all of them in a bounded number of steps.

    Args:
        left_mm2: What is left when walls have moved so far; less, the farther.
        wanted_mm2: Not more than is left when nothing has moved.
        most_mm: Nothing is left when they have moved so far.
    """
    low_mm, high_mm = np.zeros(len(most_mm)), most_mm.copy()
    over_mm2, under_mm2 = left_mm2(low_mm) - wanted_mm2, wanted_mm2.copy()
    by_mm, was_over = low_mm, np.zeros(len(most_mm), np.int64)
    for _ in range(_STEPS):
        by_mm = low_mm + (high_mm - low_mm) * np.maximum(over_mm2, 0.0) / (
            np.maximum(over_mm2, 0.0) + under_mm2
        )
        off_mm2 = left_mm2(by_mm) - wanted_mm2
        if (np.abs(off_mm2) <= NEAR * wanted_mm2).all():
            break
        is_over = np.where(off_mm2 > 0, 1, -1)
        # an end that stays a second time counts half: else it might stay for ever
        half = np.where(is_over == was_over, 0.5, 1.0)
        low_mm, high_mm = np.where(is_over > 0, by_mm, low_mm), np.where(is_over < 0, by_mm, high_mm)
        over_mm2, under_mm2 = (
            np.where(is_over > 0, off_mm2, over_mm2 * half),
            np.where(is_over < 0, -off_mm2, under_mm2 * half),
        )
        was_over = is_over
    return by_mm
