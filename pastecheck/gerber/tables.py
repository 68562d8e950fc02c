"""What objects look like, as the tables of a drawing: each aperture in each transformation once."""

from enum import Enum
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import Aperture, CodeArray, Contours, IntArray, Primitive, Strokes
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import Definition, Matrix, primitives_of, product, transformed
from pastecheck.gerber.codes import (
    EXPORT_AGAIN,
    LATE_DEFINITION,
    TOO_LARGE,
    UNDEFINED_APERTURE,
    UNSWEEPABLE_APERTURE,
    told,
)
from pastecheck.gerber.contours import ClosedContours
from pastecheck.gerber.coordinates import nm_per_unit, refuse_far
from pastecheck.gerber.expressions import ApertureError
from pastecheck.gerber.growing import Growing
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.marks import is_convex
from pastecheck.gerber.state import State
from pastecheck.limits import Limits, how_to_raise
from pastecheck.ragged import offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

_REDRAW: Final = "draw it with a round pen or as a region"


class Along(Enum):
    """What a stroke is drawn along, as errors call the stroke."""

    LINE = "a stroke"
    ARC = "an arc"
    NOTHING = "a stroke of no length"


class Tool(NamedTuple):
    """An aperture number, and which of its definitions is meant."""

    number: int
    generation: int = 0


class _Drawn(NamedTuple):
    """An aperture, and what it draws in one transformation."""

    definition: Definition
    primitives: tuple[Primitive, ...]


class Tables:
    """Apertures, strokes and contours of a file; they grow while blocks are expanded."""

    def __init__(self, statements: Statements, state: State, limits: Limits) -> None:
        """Begin with no rows."""
        self.statements = statements
        self.state = state
        self._most_corners = limits.corners
        self._most_marks = limits.objects
        self._most_steps = limits.statements
        self._marks = self._mark_corners = self._steps = 0
        self._mm_per_unit = nm_per_unit(inches=bool(state.inches)) / NM_PER_MM
        self._row: dict[tuple[Tool, Matrix], int] = {}
        self._keys: list[tuple[Tool, Matrix]] = []
        self._apertures: list[_Drawn] = []
        none, no_points = np.zeros(0, np.int64), np.zeros((0, 2), np.int64)
        no_turns: CodeArray = np.zeros(0, np.int8)
        self._pen, self._end, self._centre = Growing(none), Growing(no_points), Growing(no_points)
        self._turn = Growing(no_turns)
        self._offset, self._corner = Growing(np.zeros(1, np.int64)), Growing(no_points)
        self._corner_centre, self._corner_turn = Growing(no_points), Growing(no_turns)

    # ------------------------------------------------------------------------------------------ apertures

    def aperture(self, tool: Tool, matrix: Matrix, used_at: int) -> int:
        """
        Row of an aperture in a transformation.

        Raises:
            GerberSyntaxError: If it is not defined, or its sizes make no sense.
            GerberUnsupportedError: If all apertures together have too many parts.
        """
        key = (tool, matrix)
        if key not in self._row:
            definition = self._defined(tool, used_at)
            self._count_steps(definition, used_at)
            primitives = self._primitives(definition, matrix)
            self._count(primitives, used_at)
            self._apertures.append(_Drawn(definition, primitives))
            self._row[key] = len(self._keys)
            self._keys.append(key)
        return self._row[key]

    def apertures(self) -> tuple[Aperture, ...]:
        """All apertures so far."""
        lines = self.statements.lines(
            np.array([one.definition.statement for one in self._apertures], np.int64)
        )
        return tuple(
            Aperture(one.definition.number, one.definition.template, one.primitives, line)
            for one, line in zip(self._apertures, lines.tolist(), strict=True)
        )

    def defined_at(self, rows: IntArray) -> IntArray:
        """The statements that define apertures; -1 for what is no row of theirs. Shape of the rows."""
        statements = np.array([*(one.definition.statement for one in self._apertures), -1], np.int64)
        return statements[np.where(rows >= 0, rows, -1)]

    def pen(self, tool: Tool, matrix: Matrix, used_at: int, along: Along) -> tuple[int, bool]:
        """
        Row of an aperture that a stroke is drawn with; and whether what it sweeps over is known exactly.

        It is for one convex mark along a line, and for a disc along an arc. A stroke along nothing may have
        any aperture, for it covers what a flash would.

        Raises:
            GerberSyntaxError: As `aperture`.
            GerberUnsupportedError: If what the stroke covers is not known exactly.
        """
        what = f"{along.value} is drawn with "
        number = tool.number
        if number in self.state.blocks:
            span = self.statements.span(used_at)
            raise GerberUnsupportedError(f"{what}block D{number}", span, _REDRAW, UNSWEEPABLE_APERTURE)
        row = self.aperture(tool, matrix, used_at)
        definition, primitives = self._apertures[row]
        marks = [mark for primitive in primitives for mark in primitive.marks]
        simple = len(marks) == 1 and marks[0].adds and primitives[0].adds and is_convex(marks[0].core_mm)
        sweeps = simple and (along is not Along.ARC or len(marks[0].core_mm) == 1)
        if not sweeps and along is not Along.NOTHING:
            what += f"aperture D{number} ({definition.template}), and what it covers is not known exactly"
            raise GerberUnsupportedError(what, self.statements.span(used_at), _REDRAW, UNSWEEPABLE_APERTURE)
        return row, sweeps

    def _defined(self, tool: Tool, used_at: int) -> Definition:
        number, definitions = tool.number, self.state.definitions.get(tool.number)
        if definitions is None:
            what = f"aperture D{number} is not defined" if number else "something is drawn with no aperture"
            raise GerberSyntaxError(what, self.statements.span(used_at), EXPORT_AGAIN, UNDEFINED_APERTURE)
        definition = definitions[tool.generation]
        if definition.statement > used_at:
            self.state.remark(told(LATE_DEFINITION), used_at)
        return definition

    def _primitives(self, definition: Definition, matrix: Matrix) -> tuple[Primitive, ...]:
        try:
            primitives = transformed(primitives_of(definition, self._mm_per_unit), matrix)
        except ApertureError as error:
            span = self.statements.span(definition.statement)
            what = f"aperture D{definition.number} makes no sense: {error}"
            raise GerberSyntaxError(what, span, EXPORT_AGAIN, error.code) from None
        return primitives

    # ------------------------------------------------------------------------------------ strokes, contours

    def add_strokes(
        self, aperture: IntArray, end_nm: IntArray, centre_nm: IntArray, turn: CodeArray
    ) -> IntArray:
        """Append strokes; their rows."""
        before = len(self._turn.values)
        self._pen.append(aperture)
        self._end.append(end_nm)
        self._centre.append(centre_nm)
        self._turn.append(turn)
        return np.arange(before, before + len(turn), dtype=np.int64)

    def add_contours(self, contours: ClosedContours) -> IntArray:
        """Append contours; their rows."""
        edges, offset = contours.edges, contours.offset
        first = np.repeat(edges.start_nm[offset[:-1]], np.diff(offset), axis=0)
        start = edges.start_nm - first
        centre = np.where((edges.turn != 0)[:, None], start + edges.centre_nm, 0)
        return self._append(Contours(offset, start, centre, edges.turn))

    def strokes(self) -> Strokes:
        """All strokes so far."""
        return Strokes(self._pen.values, self._end.values, self._centre.values, self._turn.values)

    def contours(self) -> Contours:
        """All contours so far."""
        corners = self._corner.values, self._corner_centre.values, self._corner_turn.values
        return Contours(self._offset.values, *corners)

    def _append(self, contours: Contours) -> IntArray:
        offset = self._offset.values
        before = len(offset) - 1
        self._offset.append(offset[-1] + contours.offset[1:])
        self._corner.append(contours.point_nm)
        self._corner_centre.append(contours.centre_nm)
        self._corner_turn.append(contours.turn)
        return np.arange(before, before + len(contours.offset) - 1, dtype=np.int64)

    # ---------------------------------------------------------------------------- what blocks do to all that

    def transformed_apertures(self, rows: IntArray, matrix: Matrix, used_at: int) -> IntArray:
        """Rows of apertures like the given ones, transformed once more."""
        keys = [self._keys[row] for row in rows.tolist()]
        again = [self.aperture(tool, product(matrix, before), used_at) for tool, before in keys]
        return np.array(again, np.int64)

    def transformed_strokes(self, rows: IntArray, matrix: Matrix, used_at: int) -> IntArray:
        """Rows of strokes like the given ones, transformed."""
        every = self.strokes()
        self._refuse_too_many(len(every.turn) + len(rows), used_at)
        used, inverse = np.unique(every.aperture[rows], return_inverse=True)
        return self.add_strokes(
            self.transformed_apertures(used, matrix, used_at)[inverse],
            self.moved(every.end_nm[rows], matrix, used_at),
            self.moved(every.centre_nm[rows], matrix, used_at),
            _turned(every.turn[rows], matrix),
        )

    def transformed_contours(self, rows: IntArray, matrix: Matrix, used_at: int) -> IntArray:
        """Rows of contours like the given ones, transformed."""
        every = self.contours()
        count = np.diff(every.offset)[rows]
        self._refuse_too_many(len(every.turn) + int(count.sum()), used_at)
        points = rows_of_runs(every.offset[:-1][rows], count)
        return self._append(
            Contours(
                offsets(count),
                self.moved(every.point_nm[points], matrix, used_at),
                self.moved(every.centre_nm[points], matrix, used_at),
                _turned(every.turn[points], matrix),
            )
        )

    def transform_all(self, matrix: Matrix, used_at: int) -> None:
        """Transform every stroke and contour, and leave apertures as they are."""
        strokes, contours = self.strokes(), self.contours()
        end_nm, centre_nm = (self.moved(nm, matrix, used_at) for nm in (strokes.end_nm, strokes.centre_nm))
        self._end, self._centre = Growing(end_nm), Growing(centre_nm)
        self._turn = Growing(_turned(strokes.turn, matrix))
        point_nm, centre_nm = (
            self.moved(nm, matrix, used_at) for nm in (contours.point_nm, contours.centre_nm)
        )
        self._corner, self._corner_centre = Growing(point_nm), Growing(centre_nm)
        self._corner_turn = Growing(_turned(contours.turn, matrix))

    def moved(self, points_nm: IntArray, matrix: Matrix, used_at: int) -> IntArray:
        """
        Points transformed about the origin, to whole nanometres. Shape (k, 2).

        Raises:
            GerberUnsupportedError: If one comes to lie where no layer reaches.
        """
        place = points_nm @ np.array(matrix).reshape(2, 2).T
        refuse_far(np.abs(place).max(axis=1, initial=0), np.full(len(place), used_at), self.statements)
        whole: IntArray = np.rint(place).astype(np.int64)
        return whole

    def _count(self, primitives: tuple[Primitive, ...], used_at: int) -> None:
        """Refuse apertures that are too much together: thousands may repeat a macro of thousands of parts."""
        self._marks += sum(len(one.marks) for one in primitives)
        self._mark_corners += sum(len(mark.core_mm) for one in primitives for mark in one.marks)
        for name, parts, count, most in (
            ("objects", "parts", self._marks, self._most_marks),
            ("corners", "corners", self._mark_corners, self._most_corners),
        ):
            if count > most:
                what = f"the apertures of the file have {count} {parts} so far; at most {most} are read"
                raise self._too_large(what, name, count, used_at)

    def _count_steps(self, definition: Definition, used_at: int) -> None:
        """Refuse macros that take too long: thousands of apertures may use one of thousands of steps."""
        self._steps += len(definition.macro.steps) if definition.macro else 0
        if self._steps > self._most_steps:
            what = f"the macros of the file's apertures have {self._steps} statements to carry out so far"
            raise self._too_large(
                f"{what}; at most {self._most_steps} are", "statements", 2 * self._steps, used_at
            )

    def _refuse_too_many(self, count: int, used_at: int) -> None:
        if count > self._most_corners:
            most = f"at most {self._most_corners} are read"
            what = f"the file would draw {count} strokes or corners of contours; {most}"
            raise self._too_large(what, "corners", count, used_at)

    def _too_large(self, what: str, name: str, count: int, used_at: int) -> GerberUnsupportedError:
        hint = how_to_raise(name, count)
        return GerberUnsupportedError(what, self.statements.span(used_at), hint, TOO_LARGE)


def _turned(turn: CodeArray, matrix: Matrix) -> CodeArray:
    mirrored = matrix[0] * matrix[3] - matrix[1] * matrix[2] < 0
    return (-turn if mirrored else turn).astype(np.int8)
