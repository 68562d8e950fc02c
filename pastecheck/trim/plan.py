"""What is to be changed, as columns: how far sides are drawn in, which openings become panes, and why."""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements


class Why(IntEnum):
    """The entry of the rule set by which an opening is changed."""

    UNCHANGED = 0
    ROWS = 1
    CHIPS = 2
    THERMAL = 3
    LARGE = 4
    SELECTED = 5
    CORNERS = 6
    ERRORS = 7


class Held(IntEnum):
    """What kept a change from being what the rule set asks for."""

    NOTHING = 0
    WIDTH = 1
    """The least width that this foil and cutter can do: the opening is wider than asked for."""
    VOLUME = 2
    """The least paste: the opening is wider than asked for."""
    LEFT = 3
    """No width keeps the error limits of width and web together: left as it was."""
    REFUSED = 4
    """The change would have brought an error: left as it was."""


LEAST_CHANGE_MM: Final = 0.0005
"""A side that would move by less stays: what is read is rounded."""


@dataclass(frozen=True, eq=False, slots=True)
class Plan:
    """Changes of n openings; all columns have shape (n, ...)."""

    inset_mm: FloatArray
    """As `Changed.inset_mm`; negative only where openings may grow. Shape (n, 2, 2)."""
    panes: IntArray
    """How many panes along and across an opening becomes; 1 and 1 where it stays one. Shape (n, 2)."""
    pane_mm: FloatArray
    """Their sides along and across. Shape (n, 2)."""
    web_mm: FloatArray
    """Between panes."""
    corner_mm: FloatArray
    """Radius that sharper corners get; 0 where they stay."""
    why: IntArray
    held: IntArray
    wanted_mm: FloatArray
    """The width that a row asks for, where something held it; else NaN."""

    @staticmethod
    def of_nothing(count: int) -> "Plan":
        """Nothing to change."""
        nobody = np.zeros(count, np.int64)
        return Plan(
            np.zeros((count, 2, 2)),
            np.ones((count, 2), np.int64),
            np.zeros((count, 2)),
            np.zeros(count),
            np.zeros(count),
            nobody,
            nobody.copy(),
            np.full(count, np.nan),
        )

    @property
    def is_split(self) -> BoolArray:
        """Which openings are drawn anew as panes, or as one smaller pane."""
        return np.isin(self.why, (Why.THERMAL, Why.LARGE))

    @property
    def is_changed(self) -> BoolArray:
        """Which openings are to have another outline."""
        moves = (self.inset_mm != 0).any(axis=(1, 2))
        return np.asarray(self.is_split | (self.corner_mm > 0) | moves)

    def without(self, rows: BoolArray) -> "Plan":
        """The same, some openings left as they are because their change was refused."""
        kept = ~rows
        return Plan(
            np.where(kept[:, None, None], self.inset_mm, 0.0),
            np.where(kept[:, None], self.panes, 1),
            np.where(kept[:, None], self.pane_mm, 0.0),
            np.where(kept, self.web_mm, 0.0),
            np.where(kept, self.corner_mm, 0.0),
            np.where(kept, self.why, Why.UNCHANGED),
            np.where(kept, self.held, np.where(self.is_changed, Held.REFUSED, self.held)),
            self.wanted_mm,
        )


def axis_along(m: Measurements, rows: IntArray, way_rad: FloatArray) -> IntArray:
    """The axis of openings, 0 for the long one, that lies along a direction. Shape (k,)."""
    between_rad = m.rectangles.direction_rad[rows] - way_rad
    return np.where(np.abs(np.cos(between_rad)) >= np.sqrt(0.5), 0, 1)


def sides_mm(m: Measurements) -> FloatArray:
    """Length and width. Shape (n, 2)."""
    return np.column_stack([m.length_mm, m.width_mm])
