"""
An image swapped, mirrored, turned or moved as a whole, by the deprecated commands AS, MI, IR and OF.

Readers differ about what these commands do to apertures and to repeats, and about their order. So an image is
changed only where that makes no difference: where every aperture looks the same mirrored or turned in that
way, nothing is repeated, and two commands give the same image in either order. All else is refused. (What the
commands mean is from memory; a general-purpose library is asked in the tests.)
"""

from typing import Final

import numpy as np

from pastecheck.drawing import Mark, Primitive
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import IDENTITY, Matrix, product, transformed
from pastecheck.gerber.blocks import Batch
from pastecheck.gerber.codes import CONTRADICTION, EXPORT_AGAIN, IMAGE_TRANSFORM
from pastecheck.gerber.coordinates import nm_per_unit, refuse_far
from pastecheck.gerber.image_commands import NO_CHANGE, ImageChange
from pastecheck.gerber.tables import Tables

_MOST_MARKS: Final = 100
"""An aperture of more is compared mark by mark in their order only, for the time that it would take."""
_SAME_MM: Final = 1e-7
"""Marks that differ by less look the same: a tenth of a nanometre."""


def changed(batch: Batch, tables: Tables) -> Batch:
    """
    All objects of a file where the commands for the whole image put them.

    Raises:
        GerberSyntaxError: If such a command is given twice and differs.
        GerberUnsupportedError: If readers would differ about the image.
    """
    changes = _each_once(tables)
    if not changes or not len(batch.kind):
        return batch
    matrix, last = _combined(changes, tables)
    if last.statement > int(batch.statement.min()):
        raise _refused("it stands behind what is drawn", last, tables)
    if matrix != IDENTITY:
        if any(bracket.what == "repeat" for bracket in tables.state.brackets):
            raise _refused("readers differ about repeats in such an image", last, tables)
        if not all(_looks_same(one.primitives, matrix) for one in tables.apertures()):
            raise _refused("readers differ about whether apertures are changed as well", last, tables)
        tables.transform_all(matrix, last.statement)
        place = tables.moved(np.column_stack([batch.x_nm, batch.y_nm]), matrix, last.statement)
        batch = batch._replace(x_nm=place[:, 0], y_nm=place[:, 1])
    return _moved(batch, changes, tables)


def _each_once(tables: Tables) -> list[ImageChange]:
    """The changes that have an effect."""
    first: dict[str, ImageChange] = {}
    for code, change in tables.state.image:
        if first.setdefault(code, change)[:2] != change[:2]:
            what = f"the command {code} is given twice, and differs"
            span = tables.statements.span(change.statement)
            raise GerberSyntaxError(what, span, EXPORT_AGAIN, CONTRADICTION)
    return [change for change in first.values() if change[:2] != NO_CHANGE[:2]]


def _combined(changes: list[ImageChange], tables: Tables) -> tuple[Matrix, ImageChange]:
    """The matrix of all changes, whatever their order; and the last of them."""
    matrix, last = IDENTITY, max(changes, key=lambda change: change.statement)
    for change in changes:
        either_way = product(matrix, change.matrix)
        if either_way != product(change.matrix, matrix):
            raise _refused("readers differ about the order of two of them", last, tables)
        matrix = either_way
    if matrix != IDENTITY and any(change.offset != (0.0, 0.0) for change in changes):
        raise _refused("readers differ about whether the offset is changed as well", last, tables)
    return matrix, last


def _moved(batch: Batch, changes: list[ImageChange], tables: Tables) -> Batch:
    unit_nm = nm_per_unit(inches=bool(tables.state.inches))
    offset_nm = np.array([change.offset for change in changes]).sum(axis=0) * unit_nm
    x_nm, y_nm = batch.x_nm + offset_nm[0], batch.y_nm + offset_nm[1]
    refuse_far(np.maximum(np.abs(x_nm), np.abs(y_nm)), batch.statement, tables.statements)
    return batch._replace(x_nm=np.rint(x_nm).astype(np.int64), y_nm=np.rint(y_nm).astype(np.int64))


def _refused(why: str, change: ImageChange, tables: Tables) -> GerberUnsupportedError:
    what = f"a deprecated command changes the whole image, and {why}"
    span = tables.statements.span(change.statement)
    return GerberUnsupportedError(what, span, EXPORT_AGAIN, IMAGE_TRANSFORM)


def _looks_same(primitives: tuple[Primitive, ...], matrix: Matrix) -> bool:
    """Whether an aperture looks the same after a change; one of a kind that is hard to tell counts as not."""
    marks = [mark for one in primitives for mark in one.marks]
    after = [mark for one in transformed(primitives, matrix) for mark in one.marks]
    if len(marks) <= _MOST_MARKS and all(one.adds for one in primitives) and all(mark.adds for mark in marks):
        return _are_same(marks, after)
    return all(_is_same(mark, other) for mark, other in zip(marks, after, strict=True))


def _are_same(marks: list[Mark], others: list[Mark]) -> bool:
    """Whether marks are the same but for their order."""
    left = list(others)
    for mark in marks:
        at = next((k for k, other in enumerate(left) if _is_same(mark, other)), None)
        if at is None:
            return False
        left.pop(at)
    return True


def _is_same(mark: Mark, other: Mark) -> bool:
    """Whether two marks are the same, wherever their outlines begin and whichever way they run."""
    if len(mark.core_mm) != len(other.core_mm) or abs(mark.radius_mm - other.radius_mm) > _SAME_MM:
        return False
    return any(
        bool(np.abs(np.roll(ring, -at, axis=0) - mark.core_mm).max() <= _SAME_MM)
        for ring in (other.core_mm, other.core_mm[::-1])
        for at in np.flatnonzero(np.abs(ring - mark.core_mm[0]).max(axis=1) <= _SAME_MM)
    )
