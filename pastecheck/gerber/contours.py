"""Contours of regions: where each begins and ends, whether it is closed, whether it has any area."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.codes import EMPTY_CONTOUR, ERRORS, NEARLY_CLOSED, OPEN_CONTOURS, UNCLOSED_REGION
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.pieces import Pieces
from pastecheck.ragged import offsets
from pastecheck.units import NM_PER_MM

_HABIT: Final = 2
"""So many contours, all left open, are an exporter's habit and no damage."""
_ROUNDING_STEPS: Final = 2
_FEWEST_EDGES: Final = 3


@dataclass(frozen=True, eq=False, slots=True)
class ClosedContours:
    """Edges of contours, one contour behind the other."""

    edges: Pieces
    offset: IntArray
    """Contour c has the edges offset[c] to offset[c + 1]."""
    remarks: dict[str, IntArray]
    """By diagnostic code: statements that begin the contours which it is about."""


def closed(edges: Pieces, begins: IntArray, step_nm: float, statements: Statements) -> ClosedContours:
    """
    Contours with their ends on their beginnings.

    A contour that ends within two steps of its beginning is closed by rounding. Some exporters never repeat
    the first point: where all contours of a file are left open, each is closed by a straight edge. One open
    contour among closed ones, or alone, is damage and refused. What has no area is left out.

    Args:
        edges: Of all contours.
        begins: Number of the contour of each edge, any but in order. Shape (edges,).
        step_nm: The last digit of a coordinate.
        statements: For places of errors.

    Raises:
        GerberSyntaxError: If a contour is open.
    """
    offset = np.append(np.flatnonzero(np.diff(begins, prepend=-1)), len(begins)).astype(np.int64)
    found = _without_area(ClosedContours(edges, offset, {}), step_nm)
    begin, end = found.offset[:-1], found.offset[1:] - 1
    if not len(begin):
        return found
    edges = found.edges
    apart = np.abs(edges.end_nm[end] - edges.start_nm[begin]).max(axis=1)
    is_open = apart > _ROUNDING_STEPS * step_nm
    found.remarks[NEARLY_CLOSED] = edges.statement[begin[(apart > 0) & ~is_open]]
    if not is_open.any():
        return found
    if not is_open.all() or len(is_open) < _HABIT:
        first = int(np.flatnonzero(is_open)[0])
        what = f"the contour that begins here ends {apart[first] / NM_PER_MM:.4f} mm from its beginning"
        span = statements.span(int(edges.statement[begin[first]]))
        raise GerberSyntaxError(what, span, ERRORS[UNCLOSED_REGION].do, UNCLOSED_REGION)
    return _with_last_edges(found)


def _without_area(found: ClosedContours, step_nm: float) -> ClosedContours:
    """Contours but for those with fewer than three straight edges, and those whose edges have no length."""
    edges, count = found.edges, np.diff(found.offset)
    if not len(count):
        return found
    begin = found.offset[:-1]
    is_arc = np.maximum.reduceat(np.abs(edges.turn), begin) > 0
    returns = (
        np.abs(edges.end_nm[found.offset[1:] - 1] - edges.start_nm[begin]).max(axis=1)
        <= _ROUNDING_STEPS * step_nm
    )
    # Two straight edges that do not return may be an exporter's triangle without its last edge.
    empty = ~is_arc & (count + ~returns < _FEWEST_EDGES)
    remarks = {EMPTY_CONTOUR: edges.statement[begin[empty]]}
    if not empty.any():
        return ClosedContours(edges, found.offset, remarks)
    return ClosedContours(edges.rows(np.repeat(~empty, count)), offsets(count[~empty]), remarks)


def _with_last_edges(found: ClosedContours) -> ClosedContours:
    """Each contour with a straight edge from its end to its beginning."""
    edges, offset = found.edges, found.offset
    begin, end, behind = offset[:-1], offset[1:] - 1, offset[1:]
    completed = Pieces(
        np.insert(edges.statement, behind, edges.statement[end]),
        np.insert(edges.start_nm, behind, edges.end_nm[end], axis=0),
        np.insert(edges.end_nm, behind, edges.start_nm[begin], axis=0),
        np.insert(edges.centre_nm, behind, 0, axis=0),
        np.insert(edges.turn, behind, 0),
    )
    remarks = found.remarks | {OPEN_CONTOURS: edges.statement[begin]}
    return ClosedContours(completed, offset + np.arange(len(offset)), remarks)
