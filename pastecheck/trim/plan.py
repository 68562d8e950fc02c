"""What is to be changed, as columns: how far sides are drawn in, which openings become panes, and why."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Final, NamedTuple, TypeVar

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.openings import GeometryArray
from pastecheck.ragged import distinct_rows


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
    CIRCLES = 8
    ISLANDS = 9


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
    GROWTH = 5
    """It has errors that only growing would end, and it may not grow."""
    NO_SIZE = 6
    """It has errors that no change of size would end."""
    APART = 7
    """Made as small as asked for it would fall apart, or nothing would be left: left as it was."""
    NO_ROOM = 8
    """Webs leave no room for the panes that are asked for: left as it was."""
    COVERAGE = 9
    """Webs leave less room for panes than is asked for."""


class Outline(NamedTuple):
    """A shape as `Shapes` has them."""

    core: shapely.Geometry
    radius_mm: float
    tolerance_mm: float


NOT_SO: Final = -1
Made = TypeVar("Made")
Make = Callable[[IntArray], Sequence[Made]]
"""Makes something for each of some rows."""
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
    redrawn: IntArray
    """Row of `outlines` that an opening gets in place of its own; `NOT_SO` where it keeps that."""
    cut: IntArray
    """Row of `pieces` that an opening becomes; `NOT_SO` where it stays one."""
    why: IntArray
    held: IntArray
    wanted_mm: FloatArray
    """
    The width that is asked for, where something held it; else NaN.

    Of chips it is the side that is shortened, of panes that have no room the web.
    """
    outlines: list[Outline]
    """New outlines, each about the origin of its opening."""
    pieces: list[GeometryArray]
    """Polygons about the origin of their opening."""

    @staticmethod
    def of_nothing(count: int) -> "Plan":
        """Nothing to change."""
        nobody = np.zeros(count, np.int64)
        return Plan(
            np.zeros((count, 2, 2)),
            np.ones((count, 2), np.int64),
            np.zeros((count, 2)),
            np.zeros(count),
            np.full(count, NOT_SO),
            np.full(count, NOT_SO),
            nobody,
            nobody.copy(),
            np.full(count, np.nan),
            [],
            [],
        )

    @property
    def has_panes(self) -> BoolArray:
        """Which openings are drawn anew as panes, or as one smaller pane."""
        return np.asarray((self.pane_mm > 0).all(axis=1))

    @property
    def is_free(self) -> BoolArray:
        """Which openings nothing is planned for yet."""
        return np.asarray(self.why == Why.UNCHANGED)

    def redraw(self, shape: IntArray, rows: IntArray, make: "Make[Outline | None]", why: Why) -> None:
        """
        Plan new outlines, one for each distinct shape; where there is none, openings stay as they are.

        Args:
            shape: Of all openings. Shape (n,).
            rows: Those that get one.
            make: Outlines about the origins of some openings, from their rows.
            why: By which entry.
        """
        kinds = distinct_rows(shape[rows][:, None])
        made = make(rows[kinds.first])
        known = np.array([one is not None for one in made], bool)
        number = len(self.outlines) + np.cumsum(known) - 1
        kept = known[kinds.inverse]
        self.redrawn[rows[kept]] = number[kinds.inverse[kept]]
        self.outlines.extend(one for one in made if one is not None)
        self.why[rows[kept]] = why

    def cut_up(self, shape: IntArray, rows: IntArray, make: "Make[GeometryArray]", why: Why) -> BoolArray:
        """Plan pieces in place of openings, as of `redraw`; which have any: others stay as they are."""
        kinds = distinct_rows(shape[rows][:, None])
        made = make(rows[kinds.first])
        has_any = np.array([len(pieces) > 0 for pieces in made], bool)
        number = len(self.pieces) + np.cumsum(has_any) - 1
        kept = has_any[kinds.inverse]
        self.cut[rows[kept]] = number[kinds.inverse[kept]]
        self.pieces.extend(pieces for pieces in made if len(pieces))
        self.why[rows[kept]] = why
        return np.asarray(kept)

    def hold(self, rows: IntArray, by: Held, wanted_mm: "FloatArray | float" = np.nan) -> None:
        """Note what keeps some openings from what was asked for."""
        self.held[rows], self.wanted_mm[rows] = by, wanted_mm

    @property
    def is_changed(self) -> BoolArray:
        """Which openings are to have another outline."""
        moves = (self.inset_mm != 0).any(axis=(1, 2))
        return np.asarray(self.has_panes | (self.redrawn != NOT_SO) | (self.cut != NOT_SO) | moves)

    def without(self, rows: BoolArray) -> "Plan":
        """The same, some openings left as they are."""
        kept = ~rows
        return Plan(
            np.where(kept[:, None, None], self.inset_mm, 0.0),
            np.where(kept[:, None], self.panes, 1),
            np.where(kept[:, None], self.pane_mm, 0.0),
            np.where(kept, self.web_mm, 0.0),
            np.where(kept, self.redrawn, NOT_SO),
            np.where(kept, self.cut, NOT_SO),
            np.where(kept, self.why, Why.UNCHANGED),
            self.held,
            self.wanted_mm,
            self.outlines,
            self.pieces,
        )


def axis_along(m: Measurements, rows: IntArray, way_rad: FloatArray) -> IntArray:
    """The axis of openings, 0 for the long one, that lies along a direction. Shape (k,)."""
    between_rad = m.rectangles.direction_rad[rows] - way_rad
    return np.where(np.abs(np.cos(between_rad)) >= np.sqrt(0.5), 0, 1)


def sides_mm(m: Measurements) -> FloatArray:
    """Length and width. Shape (n, 2)."""
    return np.column_stack([m.length_mm, m.width_mm])
