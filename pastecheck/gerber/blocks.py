"""Step-and-repeat and block apertures: copies of objects, not of code."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray, Kind
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import IDENTITY, Matrix
from pastecheck.gerber.codes import EXPORT_AGAIN, MISPLACED_STATEMENT, TOO_LARGE, UNDEFINED_APERTURE
from pastecheck.gerber.coordinates import nm_per_unit, refuse_far
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.state import Bracket
from pastecheck.gerber.tables import Tables
from pastecheck.limits import Limits, how_to_raise
from pastecheck.ragged import offsets


class Batch(NamedTuple):
    """Object columns as in `Drawing`, shape (n,); a flash of a block has `what` = -1 - its row of `Calls`."""

    kind: CodeArray
    what: IntArray
    dark: BoolArray
    x_nm: IntArray
    y_nm: IntArray
    of_object: IntArray
    of_aperture: IntArray
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

    bracket: Bracket
    parts: list[Batch] = field(default_factory=list)


def expanded(objects: Batch, calls: list[Call], tables: Tables, limits: Limits) -> Batch:
    """
    All objects of a file, copies in the places of their originals.

    Args:
        objects: Objects as written, in order.
        calls: The blocks that flashes mean.
        tables: Where repeats and blocks begin and end; it grows where a block is flashed transformed.
        limits: How many objects are made at most, copies and complete blocks included.

    Raises:
        GerberSyntaxError: If blocks are not nested properly.
        GerberUnsupportedError: If there would be more objects than that, or some too far away.
    """
    nest = _Nest(objects, calls, tables, limits)
    for bracket in tables.state.brackets:
        nest.take(int(np.searchsorted(objects.statement, bracket.statement)))
        nest.turn(bracket)
    nest.take(len(objects.kind))
    batch = nest.ended()
    refuse_far(np.maximum(np.abs(batch.x_nm), np.abs(batch.y_nm)), batch.statement, tables.statements)
    return batch


class _Nest:
    """Repeats and blocks that are open, innermost last, and the blocks that are complete."""

    def __init__(self, objects: Batch, calls: list[Call], tables: Tables, limits: Limits) -> None:
        self.objects = objects
        self.calls = calls
        self.tables = tables
        self.statements = tables.statements
        self.most_objects = limits.objects
        self.blocks: dict[int, Batch] = {}
        self.stack = [_Frame(Bracket(0, "file"))]
        self.done = 0
        self.made = 0

    def take(self, until: int) -> None:
        """Objects up to here belong to what is open now."""
        if until > self.done:
            self.stack[-1].parts.append(self._with_blocks(self.objects.rows(slice(self.done, until))))
        self.done = until

    def turn(self, bracket: Bracket) -> None:
        """Open or close a repeat or a block; a repeat also closes the one before, as old files have it."""
        inner = self.stack[-1].bracket.what
        if bracket.what in ("repeat", "end repeat"):
            if inner == "repeat":
                self._close()
            elif bracket.what == "end repeat" and any(one.bracket.what == "repeat" for one in self.stack):
                raise _misplaced("a step and repeat is ended inside a block", bracket, self.statements)
            if bracket.what == "repeat" and bracket.across * bracket.up > 1:
                self.stack.append(_Frame(bracket))
        elif bracket.what == "block":
            self.stack.append(_Frame(bracket))
        elif inner == "block":
            self._close()
        else:
            raise _misplaced("a block is ended here that was not begun", bracket, self.statements)

    def ended(self) -> Batch:
        """Everything; a repeat may be left open at the end of the file."""
        if self.stack[-1].bracket.what == "repeat":
            self._close()
        if len(self.stack) > 1:
            what = "the block that begins here is not ended"
            raise _misplaced(what, self.stack[-1].bracket, self.statements)
        return _joined(self.stack[0].parts, self.objects)

    def _close(self) -> None:
        frame = self.stack.pop()
        bracket, held = frame.bracket, _joined(frame.parts, self.objects)
        if bracket.what == "block":
            self.blocks[bracket.number] = held
        elif len(held.kind):
            self._count(len(held.kind) * (bracket.across * bracket.up - 1), bracket.statement)
            self.stack[-1].parts.append(_repeated(held, bracket, self.tables))

    def _count(self, more: int, at: int) -> None:
        """Refuse what is too much before it is made."""
        self.made += more
        if self.made > self.most_objects:
            what = f"the file would draw {self.made} objects; at most {self.most_objects} are read"
            hint = f"check blocks, step and repeat; {how_to_raise('objects', self.made)}"
            raise GerberUnsupportedError(what, self.statements.span(at), hint, TOO_LARGE)

    def _with_blocks(self, batch: Batch) -> Batch:
        """Objects with every flash of a block replaced by the block's objects."""
        flashed = np.flatnonzero((batch.kind == Kind.FLASH) & (batch.what < 0))
        self._count(len(batch.kind) - len(flashed), int(batch.statement[0]))
        if not len(flashed):
            return batch
        call = -1 - batch.what[flashed]
        used, first, inverse = np.unique(call, return_index=True, return_inverse=True)
        used_at = batch.statement[flashed[first]].tolist()
        plain = [self._block(row, at) for row, at in zip(used.tolist(), used_at, strict=True)]
        size = np.ones(len(batch.kind), np.int64)
        size[flashed] = np.array([len(block.kind) for block in plain])[inverse]
        place = offsets(size)
        self._count(int(place[-1]) - (len(batch.kind) - len(flashed)), used_at[0])
        result = batch.mapped(lambda column: np.repeat(column, size))
        for k, (row, at, block) in enumerate(zip(used.tolist(), used_at, plain, strict=True)):
            of_call = flashed[inverse == k]
            copies = _placed(
                _transformed(block, self.calls[row].matrix, self.tables, at), batch.rows(of_call), self.tables
            )
            rows = (place[of_call][:, None] + np.arange(len(block.kind))).ravel()
            columns: Iterable[tuple[Any, Any]] = zip(result, copies, strict=True)
            for column, values in columns:
                column[rows] = values
        return result

    def _block(self, row: int, used_at: int) -> Batch:
        """The objects of the block that is called, about its origin."""
        number = self.calls[row].number
        if number not in self.blocks:
            what = f"block aperture D{number} is used before it is complete"
            hint = "define the block before it is flashed"
            raise GerberSyntaxError(what, self.statements.span(used_at), hint, UNDEFINED_APERTURE)
        return self.blocks[number]


def _misplaced(what: str, bracket: Bracket, statements: Statements) -> GerberSyntaxError:
    return GerberSyntaxError(what, statements.span(bracket.statement), EXPORT_AGAIN, MISPLACED_STATEMENT)


def _joined(parts: list[Batch], like: Batch) -> Batch:
    if not parts:
        return like.rows(slice(0, 0))
    return (
        parts[0]
        if len(parts) == 1
        else Batch(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))
    )


def _repeated(batch: Batch, bracket: Bracket, tables: Tables) -> Batch:
    """Copies at even steps, first along y, then along x."""
    copies, size = bracket.across * bracket.up, len(batch.kind)
    unit_nm = nm_per_unit(inches=bool(tables.state.inches))
    column, row = np.divmod(np.arange(copies), bracket.up)
    dx_nm, dy_nm = column * (bracket.step_x * unit_nm), row * (bracket.step_y * unit_nm)
    refuse_far(
        np.maximum(np.abs(dx_nm), np.abs(dy_nm)), np.full(copies, bracket.statement), tables.statements
    )
    tiled = batch.mapped(lambda values: np.tile(values, copies))
    return tiled._replace(
        x_nm=tiled.x_nm + np.repeat(np.rint(dx_nm).astype(np.int64), size),
        y_nm=tiled.y_nm + np.repeat(np.rint(dy_nm).astype(np.int64), size),
    )


def _placed(block: Batch, flashes: Batch, tables: Tables) -> Batch:
    """A block's objects for each of its flashes; a clear flash turns the polarity of every object."""

    def each(of_block: IntArray, of_flash: IntArray) -> IntArray:
        return (of_flash[:, None] + of_block[None, :]).ravel()

    copies = len(flashes.kind)
    tiled = block.mapped(lambda column: np.tile(column, copies))
    own = np.repeat(flashes.of_object, len(block.kind))
    return tiled._replace(
        x_nm=each(block.x_nm, flashes.x_nm),
        y_nm=each(block.y_nm, flashes.y_nm),
        dark=tiled.dark == np.repeat(flashes.dark, len(block.kind)),
        of_object=tables.state.of_objects.over(own, tiled.of_object),
        statement=np.repeat(flashes.statement, len(block.kind)),
    )


def _transformed(block: Batch, matrix: Matrix, tables: Tables, used_at: int) -> Batch:
    """A block mirrored, turned and scaled about its origin."""
    if matrix == IDENTITY:
        return block
    place = tables.moved(np.column_stack([block.x_nm, block.y_nm]), matrix, used_at)
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
            what[of_kind] = transformed(used, matrix, used_at)[inverse]
    return block._replace(what=what, x_nm=place[:, 0], y_nm=place[:, 1])
