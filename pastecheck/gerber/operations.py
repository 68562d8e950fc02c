"""Modal state -> flashes, strokes and contours, in columns."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.modal import DRAW, EXPORT, FLASH, MOVE, Modal, refuse
from pastecheck.units import NM_PER_MM

_UNEVEN_NM: Final = 5000
"""Radii of an arc that differ by more are told; less is rounding of coarse formats."""
_HABIT: Final = 2
"""So many contours, all left open, are an exporter's habit and no damage."""
_UNEVEN_SHARE: Final = 0.25
"""Radii that differ by more than this part of the larger are refused."""


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """Straight and circular pieces; ends as written, centres from the start. Shape (k,) and (k, 2)."""

    statement: IntArray
    start_nm: IntArray
    end_nm: IntArray
    centre_nm: IntArray
    turn: CodeArray


@dataclass(frozen=True, eq=False, slots=True)
class Operations:
    """What the plain statements draw."""

    flash: IntArray
    """Statements. Shape (f,)."""
    flash_nm: IntArray
    flash_aperture: IntArray
    """D-codes, 0 where none is selected."""
    strokes: Pieces
    stroke_aperture: IntArray
    edges: Pieces
    """Edges of contours, one contour behind the other."""
    contour: IntArray
    """Contour c has the edges contour[c] to contour[c + 1]."""
    modal: IntArray
    """Statements that have coordinates and no operation code."""
    uneven: IntArray
    """Statements that draw arcs with two radii."""
    left_open: dict[str, IntArray]
    """By diagnostic code: statements that begin contours which did not end where they began."""


def operations_of(statements: Statements, table: Modal) -> Operations:
    """
    Objects that the plain statements draw.

    Raises:
        GerberSyntaxError: At the first statement that makes no sense.
    """
    acts, inside = table.acts, table.inside
    flash = np.flatnonzero(acts & (table.operation == FLASH))
    draws = acts & (table.operation == DRAW)
    pieces, uneven = _pieces(statements, table, np.flatnonzero(draws))
    of_region = inside[draws]
    breaks = np.cumsum((acts & (table.operation == MOVE) & inside) | table.begins_region)[draws][of_region]
    contour = np.append(np.flatnonzero(np.diff(breaks, prepend=-1)), len(breaks)).astype(np.int64)
    edges, contour, left_open = _closed(statements, _taken(pieces, of_region), contour, table.step_nm)
    return Operations(
        table.statement[flash],
        table.here_nm[flash],
        table.selected[flash],
        _taken(pieces, ~of_region),
        table.selected[draws][~of_region],
        edges,
        contour,
        table.statement[acts & ~table.is_coded],
        uneven,
        left_open,
    )


def _taken(pieces: Pieces, wanted: BoolArray) -> Pieces:
    return Pieces(
        pieces.statement[wanted],
        pieces.start_nm[wanted],
        pieces.end_nm[wanted],
        pieces.centre_nm[wanted],
        pieces.turn[wanted],
    )


def _pieces(statements: Statements, table: Modal, rows: IntArray) -> tuple[Pieces, IntArray]:
    """Strokes and edges alike; and the statements whose arcs have two radii."""
    statement, start, end = table.statement[rows], table.before_nm[rows], table.here_nm[rows]
    turn = np.choose(table.interpolation[rows] - 1, [0, -1, 1]).astype(np.int8)
    centre = np.where((turn != 0)[:, None], table.offset_nm[rows], 0)
    quadrant = np.flatnonzero(table.is_single[rows] & (turn != 0))
    centre[quadrant] = _signed(end[quadrant] - start[quadrant], centre[quadrant], turn[quadrant])
    chord = np.abs(end - start).max(axis=1, initial=0)
    dot = (centre == 0).all(axis=1) & (chord <= 2 * table.step_nm)  # shorter than the format can tell
    dot[quadrant] |= chord[quadrant] == 0
    turn[dot] = 0
    centre[dot] = 0
    arc = np.flatnonzero(turn)
    first = np.hypot(*centre[arc].T)
    last = np.hypot(*(end - start - centre)[arc].T)
    largest, difference = np.maximum(first, last), np.abs(first - last)
    wrong = (np.minimum(first, last) == 0) | (difference > _UNEVEN_SHARE * largest)
    refuse(statements, statement[arc], wrong, "the arc has no centre that fits its ends")
    return Pieces(statement, start, end, centre, turn), statement[arc[difference > _UNEVEN_NM]]


def _signed(chord: IntArray, unsigned: IntArray, turn: CodeArray) -> IntArray:
    """Centres of single-quadrant arcs: of four signs the one with the best radii over at most 90 degrees."""
    best, error = unsigned.copy(), np.full(len(chord), np.inf)
    for sign in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        centre = np.abs(unsigned) * np.array(sign)
        a, b = -centre.astype(np.float64), (chord - centre).astype(np.float64)
        sweep = turn * np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
        off = np.abs(np.hypot(*a.T) - np.hypot(*b.T))
        off = np.where((sweep < -1e-6) | (sweep > np.pi / 2 + 0.01), off + 1e15, off)
        better = off < error
        best[better], error[better] = centre[better], off[better]
    return best


def _closed(
    statements: Statements, edges: Pieces, contour: IntArray, step_nm: float
) -> tuple[Pieces, IntArray, dict[str, IntArray]]:
    """
    Contours with their ends on their beginnings; and the statements that begin those which were not closed.

    A contour that ends within two steps of its beginning is closed by rounding. Some exporters never repeat
    the first point: where all contours of a file are left open, each is closed by a straight edge. One open
    contour among closed ones, or alone, is damage and refused.
    """
    begin, end = contour[:-1], contour[1:] - 1
    if not len(begin):
        return edges, contour, {}
    apart = np.abs(edges.end_nm[end] - edges.start_nm[begin]).max(axis=1)
    far = apart > 2 * step_nm
    told = {"nearly-closed": edges.statement[begin[(apart > 0) & ~far]]}
    if not far.any():
        return edges, contour, told
    if not far.all() or len(far) < _HABIT:
        first = int(np.flatnonzero(far)[0])
        raise GerberSyntaxError(
            "the contour that begins here is not closed", statements.span(int(edges.statement[begin[first]])),
            f"it ends {apart[first] / NM_PER_MM:.4f} mm from its beginning: {EXPORT}", "unclosed-region",
        )  # fmt: skip
    behind = contour[1:]
    closed = Pieces(
        np.insert(edges.statement, behind, edges.statement[end]),
        np.insert(edges.start_nm, behind, edges.end_nm[end], axis=0),
        np.insert(edges.end_nm, behind, edges.start_nm[begin], axis=0),
        np.insert(edges.centre_nm, behind, 0, axis=0),
        np.insert(edges.turn, behind, 0),
    )
    return closed, contour + np.arange(len(contour)), told | {"open-contours": edges.statement[begin]}
