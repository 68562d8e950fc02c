"""Step-and-repeat and block apertures: copies of objects, not of code."""

from dataclasses import dataclass, field
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray, Kind
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import IDENTITY, Matrix
from pastecheck.gerber.extended import Opening
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.tables import Tables, moved
from pastecheck.ragged import offsets

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

    def rows(self, rows: "IntArray | slice") -> "Batch":
        """Some of the objects."""
        return Batch(*(column[rows] for column in self))


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
    objects: Batch,
    brackets: list[Opening],
    calls: list[Call],
    tables: Tables,
    statements: Statements,
    unit_nm: float,
) -> Batch:
    """
    All objects of a file, copies in the places of their originals.

    Args:
        objects: Objects as written, in order.
        brackets: Where repeats and blocks begin and end, in order.
        calls: The blocks that flashes mean.
        unit_nm: Nanometres of a step of 1.

    Raises:
        GerberSyntaxError: If blocks are not nested properly.
        GerberUnsupportedError: If there would be more than `MOST_OBJECTS` objects.
    """
    blocks: dict[int, Batch] = {}
    stack = [_Frame(Opening(0, "file"))]
    done = 0

    def take(until: int) -> None:
        nonlocal done
        if until > done:
            stack[-1].parts.append(
                _with_blocks(objects.rows(slice(done, until)), calls, blocks, tables, statements)
            )
        done = until

    def close() -> None:
        frame = stack.pop()
        held = _joined(frame.parts, objects)
        if frame.opening.what == "block":
            blocks[frame.opening.number] = held
        else:
            stack[-1].parts.append(_repeated(held, frame.opening, statements, unit_nm))

    for bracket in brackets:
        take(int(np.searchsorted(objects.statement, bracket.statement)))
        repeating = stack[-1].opening.what == "repeat"
        if bracket.what in ("repeat", "end repeat"):
            if repeating:
                close()
            if bracket.what == "repeat" and bracket.across * bracket.up > 1:
                stack.append(_Frame(bracket))
        elif bracket.what == "block":
            stack.append(_Frame(bracket))
        elif stack[-1].opening.what == "block":
            close()
        else:
            raise _unnested("a block is ended here that was not begun", bracket, statements)
    take(len(objects.kind))
    if stack[-1].opening.what == "repeat":
        close()
    if len(stack) > 1:
        raise _unnested("the block that begins here is not ended", stack[-1].opening, statements)
    return _joined(stack[0].parts, objects)


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
    tiled = Batch(*(np.tile(values, copies) for values in batch))
    return tiled._replace(x_nm=tiled.x_nm + np.repeat(dx_nm, size), y_nm=tiled.y_nm + np.repeat(dy_nm, size))


def _with_blocks(
    batch: Batch, calls: list[Call], blocks: dict[int, Batch], tables: Tables, statements: Statements
) -> Batch:
    """Objects with every flash of a block replaced by the block's objects."""
    flashed = np.flatnonzero((batch.kind == Kind.FLASH) & (batch.what < 0))
    if not len(flashed):
        return batch
    call = -1 - batch.what[flashed]
    content: dict[int, Batch] = {}
    for row in np.unique(call).tolist():
        block = blocks.get(calls[row].number)
        if block is None:
            at = int(batch.statement[flashed[call == row][0]])
            what = f"block aperture D{calls[row].number} is used before it is complete"
            raise GerberSyntaxError(what, statements.span(at), "define the block before it is flashed")
        content[row] = _transformed(block, calls[row].matrix, tables)
    size = np.ones(len(batch.kind), np.int64)
    size[flashed] = [len(content[row].kind) for row in call.tolist()]
    place = offsets(size)
    _refuse_too_many(int(place[-1]), statements, int(batch.statement[0]))
    columns = [np.repeat(column, size) for column in batch]
    for row, block in content.items():
        of_call = flashed[call == row]
        at = (place[of_call][:, None] + np.arange(len(block.kind))).ravel()
        for k, column in enumerate(_placed(block, batch.rows(of_call))):
            columns[k][at] = column
    return Batch(*columns)


def _placed(block: Batch, flashes: Batch) -> Batch:
    """A block's objects for each of its flashes; a clear flash turns the polarity of every object."""

    def each(of_block: IntArray, of_flash: IntArray) -> IntArray:
        return (of_flash[:, None] + of_block[None, :]).ravel()

    copies = len(flashes.kind)
    tiled = Batch(*(np.tile(column, copies) for column in block))
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
        (Kind.FLASH, lambda rows: np.array([tables.again(row, matrix) for row in rows.tolist()], np.int64)),
        (Kind.STROKE, lambda rows: tables.transformed_strokes(rows, matrix)),
        (Kind.REGION, lambda rows: tables.transformed_contours(rows, matrix)),
    )
    for kind, transform in makers:
        of_kind = np.flatnonzero(block.kind == kind)
        if len(of_kind):
            used, inverse = np.unique(what[of_kind], return_inverse=True)
            what[of_kind] = transform(used)[inverse]
    return block._replace(what=what, x_nm=place[:, 0], y_nm=place[:, 1])
