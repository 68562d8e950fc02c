"""Straight and circular pieces, and the centres of the circular ones."""

from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, FloatArray, IntArray
from pastecheck.gerber.codes import IMPOSSIBLE_ARC
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.refusing import refuse

UNEVEN_NM: Final = 5000
"""Radii of an arc that differ by more are told; less is rounding of coarse formats. Our own bound."""
_MOST_UNEVEN: Final = 0.1
"""Radii that differ by more than this part of the larger one, and by more than rounding: refused. Our own."""
_ROUNDING_STEPS: Final = 3
_NO_CENTRE: Final = "the arc has no centre that fits both its ends"
_BEYOND_QUARTER_RAD: Final = 0.01
"""An arc of single-quadrant mode may seem so much longer than a quarter, by rounding."""


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """Pieces, each from a start; the centre is relative to it. Shapes (k,) and (k, 2)."""

    statement: IntArray
    start_nm: IntArray
    end_nm: IntArray
    centre_nm: IntArray
    turn: CodeArray
    """0 straight, 1 counter-clockwise, -1 clockwise."""

    def rows(self, rows: IntArray | BoolArray) -> "Pieces":
        """Some of the pieces."""
        return Pieces(
            self.statement[rows],
            self.start_nm[rows],
            self.end_nm[rows],
            self.centre_nm[rows],
            self.turn[rows],
        )


def with_centres(
    pieces: Pieces, single: BoolArray, step_nm: float, statements: Statements
) -> tuple[Pieces, IntArray]:
    """
    Pieces with their centres found and checked; and the statements whose arcs have two radii.

    Args:
        pieces: As written, centres too.
        single: Whether single-quadrant mode holds; then centres come without signs. Shape (k,).
        step_nm: The last digit of a coordinate.
        statements: For places of errors.

    Raises:
        GerberSyntaxError: If no centre fits an arc.
    """
    turn = pieces.turn.copy()
    centre = np.where((turn != 0)[:, None], pieces.centre_nm, 0)
    chord = pieces.end_nm - pieces.start_nm
    longest = np.abs(chord).max(axis=1, initial=0)
    quadrant = np.flatnonzero(single & (turn != 0) & (longest > 0))
    centre[quadrant], fits = _signed(chord[quadrant], centre[quadrant], turn[quadrant], step_nm)
    unfit = np.zeros(len(turn), bool)
    unfit[quadrant] = ~fits
    tiny = longest <= 2 * step_nm  # shorter than the format can tell
    refuse(statements, pieces.statement, unfit & ~tiny, _NO_CENTRE, IMPOSSIBLE_ARC)
    turn[tiny & (unfit | (centre == 0).all(axis=1))] = 0
    turn[single & (longest == 0)] = 0
    centre[turn == 0] = 0
    arc = np.flatnonzero(turn)
    first, last = np.hypot(*centre[arc].T), np.hypot(*(chord - centre)[arc].T)
    larger, difference = np.maximum(first, last), np.abs(first - last)
    impossible = difference > np.maximum(_MOST_UNEVEN * larger, _ROUNDING_STEPS * step_nm)
    impossible |= np.minimum(first, last) == 0
    refuse(statements, pieces.statement[arc], impossible, _NO_CENTRE, IMPOSSIBLE_ARC)
    uneven = pieces.statement[arc[difference > UNEVEN_NM]]
    return Pieces(pieces.statement, pieces.start_nm, pieces.end_nm, centre, turn), uneven


def _signed(
    chord: IntArray, unsigned: IntArray, turn: CodeArray, step_nm: float
) -> tuple[IntArray, BoolArray]:
    """
    Centres of single-quadrant arcs: of the four signs the one whose radii agree best over at most 90 degrees.

    Returns:
        Centres, and whether one fits at all. Shapes (k, 2) and (k,).
    """
    best, error = unsigned.copy(), np.full(len(chord), np.inf)
    for sign in product((1, -1), repeat=2):
        centre = np.abs(unsigned) * np.array(sign)
        from_centre, to_centre = -centre.astype(np.float64), (chord - centre).astype(np.float64)
        sweep = turn * _angle(from_centre, to_centre)
        rounding = _ROUNDING_STEPS * step_nm / np.maximum(np.hypot(*from_centre.T), 1.0)
        within = (sweep > 0) & (sweep <= np.pi / 2 + np.maximum(rounding, _BEYOND_QUARTER_RAD))
        off = np.where(within, np.abs(np.hypot(*from_centre.T) - np.hypot(*to_centre.T)), np.inf)
        better = off < error
        best[better], error[better] = centre[better], off[better]
    return best, np.isfinite(error)


def _angle(one: FloatArray, other: FloatArray) -> FloatArray:
    cross = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    angle: FloatArray = np.arctan2(cross, (one * other).sum(axis=1))
    return angle
