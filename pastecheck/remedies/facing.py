"""Pairs of openings that have to get apart: which sides of them face each other, and what those lack."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.rectangles import ways_between
from pastecheck.measurements.changed import Changed

_LEANS = 1e-6
"""Corner to corner both openings give way along the same axis, though neither lies nearer."""


class Facing(NamedTuple):
    """How both openings of pairs lie to each other. Shape (2, k) each."""

    axis: IntArray
    """The axis of each along which it faces the other, as of `Changed.inset_mm`."""
    end: IntArray
    """Which end of that axis."""
    ahead_mm: FloatArray
    """Distance along it, of what is rounded by their radii."""
    aside_mm: FloatArray
    """Distance across it."""
    radii_mm: FloatArray
    """Both radii together. Shape (k,)."""

    @property
    def gap_mm(self) -> FloatArray:
        """Distance of their rectangles, 0 where those meet. Shape (k,)."""
        away_mm: FloatArray = np.hypot(self.ahead_mm[0], self.aside_mm[0])
        return np.maximum(away_mm - self.radii_mm, 0.0)

    def lacking_mm(self, wanted_mm: FloatArray, more_mm: FloatArray) -> FloatArray:
        """
        How much sides have to be drawn back for openings to be far enough apart. Shape (2, k).

        Corner to corner a side that moves by x brings less than x: ahead^2 + aside^2 = away^2.

        Args:
            wanted_mm: The distance wanted of their rectangles. Shape (k,).
            more_mm: What is taken where rectangles meet, which does not tell where outlines face. Shape (k,).
        """
        away_mm = wanted_mm + self.radii_mm
        with np.errstate(invalid="ignore"):
            ahead_mm = np.sqrt(np.maximum(away_mm**2 - self.aside_mm**2, 0.0))
        return np.where(self.ahead_mm > 0, np.maximum(ahead_mm - self.ahead_mm, 0.0), more_mm)


def facing(changed: Changed, first: IntArray, second: IntArray) -> Facing:
    """How pairs lie to each other in a changed layer."""
    one, other = changed.cores_of(first), changed.cores_of(second)
    way_mm = ways_between(one, other)
    meets = (way_mm == 0).all(axis=1)
    way_mm[meets] = (other.middle_mm - one.middle_mm)[meets]
    seen_mm = np.stack([one.seen(way_mm), other.seen(-way_mm)])
    level = np.abs(np.cos(np.stack([one.direction_rad, other.direction_rad])))
    leaning = np.stack([level, np.sqrt(np.maximum(1 - level**2, 0.0))], axis=-1)
    axis = (np.abs(seen_mm) + _LEANS * leaning).argmax(axis=-1)
    ahead_mm, aside_mm = (
        np.take_along_axis(seen_mm, each[..., None], axis=-1)[..., 0] for each in (axis, 1 - axis)
    )
    end = (ahead_mm > 0).astype(np.int64)
    apart = np.where(meets, 0.0, 1.0)
    radii_mm = changed.core_radius_of(first) + changed.core_radius_of(second)
    return Facing(axis, end, np.abs(ahead_mm) * apart, np.abs(aside_mm) * apart, radii_mm)


def drawn_back(
    count: int, rows: IntArray, at: Facing, amount_mm: FloatArray, all_round: BoolArray
) -> FloatArray:
    """
    How far sides are drawn back at most, for all pairs together. Shape (count, 2, 2).

    Args:
        count: Number of openings.
        rows: Both openings of each pair. Shape (2, k).
        at: How they face.
        amount_mm: By how much each gives way. Shape (2, k).
        all_round: Which openings give way on all sides. Shape (count,).
    """
    inset_mm = np.zeros((count, 2, 2))
    np.maximum.at(inset_mm, (rows, at.axis, at.end), amount_mm)
    inset_mm[all_round] = inset_mm[all_round].max(axis=(1, 2), keepdims=True)
    return inset_mm
