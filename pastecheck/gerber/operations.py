"""Modal state -> flashes, strokes and contours, in columns."""

from dataclasses import dataclass

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.gerber.codes import (
    CONTOUR_WITHOUT_MOVE,
    MODAL_OPERATION,
    NO_ARC_MODE,
    STRAY_CENTRE,
    UNEVEN_ARC,
)
from pastecheck.gerber.contours import ClosedContours, closed
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.modal import DRAW, FLASH, MOVE, Modal
from pastecheck.gerber.pieces import Pieces, with_centres


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
    contours: ClosedContours
    remarks: dict[str, IntArray]
    """By diagnostic code: the statements it is about."""


def operations_of(statements: Statements, table: Modal) -> Operations:
    """
    Objects that the plain statements draw.

    Raises:
        GerberSyntaxError: At the first arc without a centre, or contour left open.
    """
    acts, inside = table.acts, table.inside
    flash = np.flatnonzero(acts & (table.operation == FLASH))
    row = np.flatnonzero(acts & (table.operation == DRAW))
    pieces, uneven = with_centres(_pieces(table, row), table.arc_mode[row] == 74, table.step_nm, statements)
    of_region = inside[row]
    moved = (acts & (table.operation == MOVE) & inside) | table.begins_region
    edges, edge = pieces.rows(of_region), row[of_region]
    contours = closed(edges, np.cumsum(moved)[edge], table.step_nm, statements)
    stroke = row[~of_region]
    unsure = (pieces.turn != 0) & (table.arc_mode[row] == 0)
    remarks = {
        MODAL_OPERATION: table.statement[acts & ~table.is_coded],
        UNEVEN_ARC: uneven,
        STRAY_CENTRE: table.statement[_has_stray_centre(table)],
        NO_ARC_MODE: pieces.statement[unsure],
        CONTOUR_WITHOUT_MOVE: _begun_without_move(table, edge),
    }
    return Operations(
        flash=table.statement[flash],
        flash_nm=table.here_nm[flash],
        flash_aperture=table.selected[flash],
        strokes=pieces.rows(~of_region),
        stroke_aperture=table.selected[stroke],
        contours=contours,
        remarks=remarks | contours.remarks,
    )


def _pieces(table: Modal, row: IntArray) -> Pieces:
    """What is drawn, as written."""
    turn = np.array([0, 0, -1, 1], np.int8)[table.interpolation[row]]
    return Pieces(table.statement[row], table.before_nm[row], table.here_nm[row], table.offset_nm[row], turn)


def _has_stray_centre(table: Modal) -> BoolArray:
    """Statements with a centre that draw no arc: if G02 or G03 is lost, an arc was drawn as its chord."""
    draws_arc = (table.operation == DRAW) & (table.interpolation != 1)
    stray: BoolArray = table.acts & ~draws_arc & (table.offset_nm != 0).any(axis=1)
    return stray


def _begun_without_move(table: Modal, edge: IntArray) -> IntArray:
    """Statements that draw the first edge of a region although nothing was moved to its beginning."""
    moves = table.acts & (table.operation == MOVE)
    moves_before = np.concatenate([[0], np.cumsum(moves)])
    begun = np.flatnonzero(table.begins_region)
    if not len(edge):
        return table.statement[:0]
    region = np.searchsorted(begun, edge, side="right") - 1
    first = np.diff(region, prepend=-1) > 0
    unmoved = moves_before[edge[first]] == moves_before[begun[region[first]]]
    without: IntArray = table.statement[edge[first][unmoved]]
    return without
