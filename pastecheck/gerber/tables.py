"""What objects look like, as the tables of a drawing: each aperture in each transformation once."""

import math
from typing import Final

import numpy as np

from pastecheck.drawing import Aperture, CodeArray, Contours, IntArray, Strokes
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import Definition, Matrix, primitives_of, product, transformed
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.macros import MacroError
from pastecheck.gerber.operations import Pieces
from pastecheck.ragged import rows_of_runs

_EXPORT: Final = "export the layer with current settings of the CAD program"
_REDRAW: Final = "draw it with a round pen or as a region"
_CORNERS_OF_POLYGON: Final = 3


class Tables:
    """Apertures, strokes and contours of a file; they grow while blocks are expanded."""

    def __init__(
        self, statements: Statements, definitions: dict[int, Definition], mm_per_unit: float
    ) -> None:
        """Begin with no rows."""
        self._statements = statements
        self._definitions = definitions
        self._mm_per_unit = mm_per_unit
        self._keys: dict[tuple[int, Matrix], int] = {}
        self.apertures: list[Aperture] = []
        self._strokes: list[Strokes] = []
        self._stroke_count = 0
        self._contours: list[Contours] = []
        self._contour_count = 0

    def aperture(self, number: int, matrix: Matrix, used_at: int) -> int:
        """
        Row of an aperture in a transformation.

        Raises:
            GerberSyntaxError: If it is not defined, or its sizes make no sense.
        """
        key = (number, matrix)
        if key not in self._keys:
            definition = self._definitions.get(number)
            if definition is None:
                what = (
                    f"aperture D{number} is not defined"
                    if number
                    else "drawn before any aperture is selected"
                )
                raise GerberSyntaxError(what, self._statements.span(used_at), _EXPORT, "undefined-aperture")
            try:
                primitives = transformed(primitives_of(definition, self._mm_per_unit), matrix)
            except MacroError as error:
                raise GerberSyntaxError(
                    str(error), self._statements.span(definition.statement), _EXPORT
                ) from None
            line = int(self._statements.lines(np.array([definition.statement]))[0])
            self._keys[key] = len(self.apertures)
            self.apertures.append(Aperture(number, definition.template, primitives, line))
        return self._keys[key]

    def transformed_apertures(self, rows: IntArray, matrix: Matrix) -> IntArray:
        """Rows of apertures like the given ones, transformed once more."""
        keys = list(self._keys)
        return np.array(
            [self.aperture(keys[row][0], product(matrix, keys[row][1]), 0) for row in rows.tolist()], np.int64
        )

    def refuse_as_pen(self, row: int, used_at: int, *, in_arc: bool) -> None:
        """
        Refuse an aperture that a stroke cannot be swept with exactly.

        Raises:
            GerberUnsupportedError: If it is not one convex mark, or not a disc where an arc is drawn.
        """
        primitives = self.apertures[row].primitives
        marks = [mark for primitive in primitives for mark in primitive.marks]
        simple = len(marks) == 1 and marks[0].adds and primitives[0].adds and _is_convex(marks[0].core_mm)
        if not simple or (in_arc and len(marks[0].core_mm) > 1):
            aperture = self.apertures[row]
            piece = "an arc" if in_arc else "a stroke"
            what = f"{piece} is drawn with aperture D{aperture.number} ({aperture.name})"
            raise GerberUnsupportedError(what, self._statements.span(used_at), _REDRAW)

    def add_strokes(
        self, aperture: IntArray, end_nm: IntArray, centre_nm: IntArray, turn: CodeArray
    ) -> IntArray:
        """Append strokes; their rows."""
        self._strokes.append(Strokes(aperture, end_nm, centre_nm, turn))
        self._stroke_count += len(aperture)
        return np.arange(self._stroke_count - len(aperture), self._stroke_count, dtype=np.int64)

    def add_contours(self, edges: Pieces, contour: IntArray) -> IntArray:
        """Append contours given by their edges; their rows."""
        count = np.diff(contour)
        first = np.repeat(edges.start_nm[contour[:-1]], count, axis=0)
        start = edges.start_nm - first
        centre = np.where((edges.turn != 0)[:, None], start + edges.centre_nm, 0)
        return self._append(Contours(contour, start, centre, edges.turn))

    def transformed_strokes(self, rows: IntArray, matrix: Matrix) -> IntArray:
        """Rows of strokes like the given ones, transformed."""
        every = self.strokes()
        used, inverse = np.unique(every.aperture[rows], return_inverse=True)
        return self.add_strokes(
            self.transformed_apertures(used, matrix)[inverse],
            moved(every.end_nm[rows], matrix),
            moved(every.centre_nm[rows], matrix),
            _turned(every.turn[rows], matrix),
        )

    def transformed_contours(self, rows: IntArray, matrix: Matrix) -> IntArray:
        """Rows of contours like the given ones, transformed."""
        every = self.contours()
        count = np.diff(every.offset)[rows]
        points = rows_of_runs(every.offset[:-1][rows], count)
        return self._append(
            Contours(
                np.concatenate([[0], np.cumsum(count)]),
                moved(every.point_nm[points], matrix),
                moved(every.centre_nm[points], matrix),
                _turned(every.turn[points], matrix),
            )
        )

    def strokes(self) -> Strokes:
        """All strokes so far."""
        none = np.zeros((0, 2), np.int64)
        every = self._strokes or [Strokes(none[:, 0], none, none, np.zeros(0, np.int8))]
        if len(every) > 1:
            columns = ("aperture", "end_nm", "centre_nm", "turn")
            self._strokes = [
                Strokes(*(np.concatenate([getattr(s, name) for s in every]) for name in columns))
            ]
        return (self._strokes or every)[0]

    def contours(self) -> Contours:
        """All contours so far."""
        none = np.zeros((0, 2), np.int64)
        every = self._contours or [Contours(np.zeros(1, np.int64), none, none, np.zeros(0, np.int8))]
        if len(every) > 1:
            ends = np.concatenate([np.diff(c.offset) for c in every])
            columns = ("point_nm", "centre_nm", "turn")
            joined = (np.concatenate([getattr(c, name) for c in every]) for name in columns)
            self._contours = [Contours(np.concatenate([[0], np.cumsum(ends)]), *joined)]
        return (self._contours or every)[0]

    def _append(self, contours: Contours) -> IntArray:
        count = len(contours.offset) - 1
        self._contours.append(contours)
        self._contour_count += count
        return np.arange(self._contour_count - count, self._contour_count, dtype=np.int64)


def moved(points_nm: IntArray, matrix: Matrix) -> IntArray:
    """Points transformed about the origin, to whole nanometres."""
    turn = np.array(matrix).reshape(2, 2).T
    whole: IntArray = np.rint(points_nm @ turn).astype(np.int64)
    return whole


def _turned(turn: CodeArray, matrix: Matrix) -> CodeArray:
    mirrored = matrix[0] * matrix[3] - matrix[1] * matrix[2] < 0
    return (-turn if mirrored else turn).astype(np.int8)


def _is_convex(core: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]") -> bool:
    if len(core) < _CORNERS_OF_POLYGON:
        return True
    side = np.roll(core, -1, axis=0) - core
    after = np.roll(side, -1, axis=0)
    cross = side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0]
    turning = np.arctan2(cross, (side * after).sum(axis=1)).sum()
    same_way = bool((cross >= 0).all() or (cross <= 0).all())
    return same_way and math.isclose(abs(float(turning)), 2 * math.pi, rel_tol=1e-6)
