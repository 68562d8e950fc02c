"""Step-and-repeat and block apertures: copies of objects, not of code."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray, Kind
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import IDENTITY, Matrix
from pastecheck.gerber.extended import Opening, State
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.tables import Tables, moved
from pastecheck.ragged import offsets
from pastecheck.units import MM_PER_INCH, NM_PER_MM

MOST_OBJECTS: Final = 20_000_000
"""Objects that a file may draw, copies included."""


class Batch(NamedTuple):
    """Object columns as in `Drawing`, shape (n,); a flash of a block has `what` = -1 - its row of `Calls`."""

    kind: CodeArray
    what: IntArray
    dark: BoolArray
    x_nm: IntArray
    y_nm: IntArray
    label: IntArray
    line: IntArray
    statement: IntArray

    def mapped(self, change: Callable[[Any], Any]) -> "Batch":
        """Every column changed in the same way."""
        return Batch(*(change(column) for column in self))

    def rows(self, rows: "IntArray | slice") -> "Batch":
        """Some of the objects."""
        return self.mapped(lambda column: column[rows])


class Call(NamedTuple):
    """Which block a flash means, and how it is transformed."""

    number: int
    matrix: Matrix


@dataclass(slots=True)
class _Frame:
    """A repeat or block that is open, and what it holds so far."""

    opening: Opening
    parts: list[Batch] = field(default_factory=list)


def expanded(
    objects: Batch, calls: list[Call], state: State, tables: Tables, statements: Statements
) -> Batch:
    """
    All objects of a file, copies in the places of their originals.

    Args:
        objects: Objects as written, in order.
        calls: The blocks that flashes mean.
        state: Where repeats and blocks begin and end, and the file's unit.
        tables: Grows where a block is flashed transformed.
        statements: For places of errors.

    Raises:
        GerberSyntaxError: If blocks are not nested properly.
        GerberUnsupportedError: If there would be more than `MOST_OBJECTS` objects.
    """
    nest = _Nest(objects, calls, tables, statements, NM_PER_MM * (MM_PER_INCH if state.inches else 1.0))
    for bracket in state.brackets:
        nest.take(int(np.searchsorted(objects.statement, bracket.statement)))
        nest.turn(bracket)
    nest.take(len(objects.kind))
    return nest.ended()


class _Nest:
    """Repeats and blocks that are open, innermost last, and the blocks that are complete."""

    def __init__(
        self, objects: Batch, calls: list[Call], tables: Tables, statements: Statements, unit_nm: float
    ) -> None:
        self.objects = objects
        self.calls = calls
        self.tables = tables
        self.statements = statements
        self.unit_nm = unit_nm
        self.blocks: dict[int, Batch] = {}
        self.stack = [_Frame(Opening(0, "file"))]
        self.done = 0

    def take(self, until: int) -> None:
        """Objects up to here belong to what is open now."""
        if until > self.done:
            self.stack[-1].parts.append(self._with_blocks(self.objects.rows(slice(self.done, until))))
        self.done = until

    def turn(self, bracket: Opening) -> None:
        """Open or close a repeat or a block; a repeat also closes the one before, as old files have it."""
        inner = self.stack[-1].opening.what
        if bracket.what in ("repeat", "end repeat"):
            if inner == "repeat":
                self._close()
            if bracket.what == "repeat" and bracket.across * bracket.up > 1:
                self.stack.append(_Frame(bracket))
        elif bracket.what == "block":
            self.stack.append(_Frame(bracket))
        elif inner == "block":
            self._close()
        else:
            raise _unnested("a block is ended here that was not begun", bracket, self.statements)

    def ended(self) -> Batch:
        """Everything; a repeat may be left open at the end of the file."""
        if self.stack[-1].opening.what == "repeat":
            self._close()
        if len(self.stack) > 1:
            raise _unnested(
                "the block that begins here is not ended", self.stack[-1].opening, self.statements
            )
        return _joined(self.stack[0].parts, self.objects)

    def _close(self) -> None:
        frame = self.stack.pop()
        held = _joined(frame.parts, self.objects)
        if frame.opening.what == "block":
            self.blocks[frame.opening.number] = held
        else:
            self.stack[-1].parts.append(_repeated(held, frame.opening, self.statements, self.unit_nm))

    def _with_blocks(self, batch: Batch) -> Batch:
        """Objects with every flash of a block replaced by the block's objects."""
        flashed = np.flatnonzero((batch.kind == Kind.FLASH) & (batch.what < 0))
        if not len(flashed):
            return batch
        call = -1 - batch.what[flashed]
        content = {
            row: self._content(row, batch.rows(flashed[call == row])) for row in np.unique(call).tolist()
        }
        size = np.ones(len(batch.kind), np.int64)
        size[flashed] = [len(content[row].kind) for row in call.tolist()]
        place = offsets(size)
        _refuse_too_many(int(place[-1]), self.statements, int(batch.statement[0]))
        result = batch.mapped(lambda column: np.repeat(column, size))
        for row, block in content.items():
            of_call = flashed[call == row]
            at = (place[of_call][:, None] + np.arange(len(block.kind))).ravel()
            for column, copies in zip(result, _placed(block, batch.rows(of_call)), strict=True):
                column[at] = copies
        return result

    def _content(self, row: int, flashes: Batch) -> Batch:
        """The objects of a block as it is called, about its origin."""
        call = self.calls[row]
        block = self.blocks.get(call.number)
        if block is None:
            what = f"block aperture D{call.number} is used before it is complete"
            span = self.statements.span(int(flashes.statement[0]))
            raise GerberSyntaxError(what, span, "define the block before it is flashed")
        return _transformed(block, call.matrix, self.tables)


def _unnested(what: str, opening: Opening, statements: Statements) -> GerberSyntaxError:
    return GerberSyntaxError(
        what, statements.span(opening.statement), "the file is damaged: export the layer again"
    )


def _joined(parts: list[Batch], like: Batch) -> Batch:
    if not parts:
        return like.rows(slice(0, 0))
    return (
        parts[0]
        if len(parts) == 1
        else Batch(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))
    )


def _refuse_too_many(count: int, statements: Statements, at: int) -> None:
    if count > MOST_OBJECTS:
        raise GerberUnsupportedError(
            f"the file would draw {count} objects; at most {MOST_OBJECTS} are read", statements.span(at),
            "check the step and repeat, or give one board of the panel", "too-large",
        )  # fmt: skip


def _repeated(batch: Batch, opening: Opening, statements: Statements, unit_nm: float) -> Batch:
    """Copies at even steps, first along y, then along x."""
    copies, size = opening.across * opening.up, len(batch.kind)
    _refuse_too_many(copies * size, statements, opening.statement)
    column, row = np.divmod(np.arange(copies), opening.up)
    dx_nm = np.rint(column * (opening.step_x * unit_nm)).astype(np.int64)
    dy_nm = np.rint(row * (opening.step_y * unit_nm)).astype(np.int64)
    tiled = batch.mapped(lambda column: np.tile(column, copies))
    return tiled._replace(x_nm=tiled.x_nm + np.repeat(dx_nm, size), y_nm=tiled.y_nm + np.repeat(dy_nm, size))


def _placed(block: Batch, flashes: Batch) -> Batch:
    """A block's objects for each of its flashes; a clear flash turns the polarity of every object."""

    def each(of_block: IntArray, of_flash: IntArray) -> IntArray:
        return (of_flash[:, None] + of_block[None, :]).ravel()

    copies = len(flashes.kind)
    tiled = block.mapped(lambda column: np.tile(column, copies))
    own = np.repeat(flashes.label, len(block.kind))
    return tiled._replace(
        x_nm=each(block.x_nm, flashes.x_nm),
        y_nm=each(block.y_nm, flashes.y_nm),
        dark=tiled.dark == np.repeat(flashes.dark, len(block.kind)),
        label=np.where(own > 0, own, tiled.label),
        statement=np.repeat(flashes.statement, len(block.kind)),
    )


def _transformed(block: Batch, matrix: Matrix, tables: Tables) -> Batch:
    """A block mirrored, turned and scaled about its origin."""
    if matrix == IDENTITY:
        return block
    place = moved(np.column_stack([block.x_nm, block.y_nm]), matrix)
    what = block.what.copy()
    makers = (
        (Kind.FLASH, tables.transformed_apertures),
        (Kind.STROKE, tables.transformed_strokes),
        (Kind.REGION, tables.transformed_contours),
    )
    for kind, transformed in makers:
        of_kind = np.flatnonzero(block.kind == kind)
        if len(of_kind):
            used, inverse = np.unique(what[of_kind], return_inverse=True)
            what[of_kind] = transformed(used, matrix)[inverse]
    return block._replace(what=what, x_nm=place[:, 0], y_nm=place[:, 1])
