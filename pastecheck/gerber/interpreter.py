"""Statements -> Drawing: plain ones in columns, rare ones in order, and what they say together."""

from collections.abc import Iterable
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, Drawing, IntArray, Kind
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import Matrix, Transform
from pastecheck.gerber.attributes import component_of, purpose_of
from pastecheck.gerber.blocks import Batch, Call, expanded
from pastecheck.gerber.codes import (
    AFTER_END,
    CONTRADICTION,
    ERRORS,
    EXPORT_AGAIN,
    LEGACY,
    NEGATIVE_IMAGE,
    NEGATIVE_POLARITY,
    NO_END,
    NO_FORMAT,
    NO_UNITS,
    POINT_AFTER_BLOCK,
    STROKE_OF_NO_LENGTH,
    Remark,
    legacy,
    told,
    unknown,
)
from pastecheck.gerber.extended import state_of
from pastecheck.gerber.image import changed
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.modal import DRAW, Modal, legacy_words, modal_of, units_by_code, unknown_words
from pastecheck.gerber.operations import Operations, operations_of
from pastecheck.gerber.regions import check_regions
from pastecheck.gerber.state import Format, State
from pastecheck.gerber.tables import Along, Tables, Tool
from pastecheck.gerber.words import Words, is_plain, words_of
from pastecheck.limits import Limits
from pastecheck.ragged import among, distinct
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import NM_PER_MM, quoted

_END: Final = (0, 2)
"""M00 of old files and M02."""
_COORDINATES: Final = list(b"XYIJ")


def drawing_of(statements: Statements, limits: Limits, *, negative: bool = False) -> Drawing:
    """
    Interpret a file; one whose image is negative as it is drawn, if that may be.

    Raises:
        GerberSyntaxError: If it cannot be read.
        GerberUnsupportedError: If what it draws cannot be measured honestly.
    """
    plain = is_plain(statements)
    words = words_of(statements, plain, limits.statements)
    end = _end_of(statements, words)
    plain[end:] = False
    rare = np.flatnonzero(~plain)
    state = state_of(statements, rare[: np.searchsorted(rare, end)].tolist(), limits)
    _refuse_two_functions(state, statements)
    _remark_end(state, statements, end)
    _remark_polarity(state)
    if state.negative_image_at and not negative:
        what = "the image is negative: the file draws what is to be left, not what is to be cut"
        span = statements.span(state.negative_image_at[0])
        raise GerberUnsupportedError(what, span, "export a positive image", NEGATIVE_IMAGE)
    words = words.until(end)
    format_, inches = _settled(state, statements, words)
    state.inches = inches
    table = modal_of(statements, words, np.flatnonzero(plain), format_, inches=inches)
    check_regions(state, table, words, statements)
    _remark_unsure_points(state, table)
    operations = operations_of(statements, table)
    tables = Tables(statements, state, limits)
    written, calls = _objects(operations, state, tables, statements)
    batch = changed(expanded(written, calls, tables, limits), tables)
    object_sets, aperture_sets = state.of_objects.sets, state.of_apertures.sets
    labels, label = _numbered(map(component_of, object_sets))
    purposes, purpose = _numbered(map(purpose_of, aperture_sets))
    return Drawing(
        kind=batch.kind,
        what=batch.what,
        dark=batch.dark,
        x_nm=batch.x_nm,
        y_nm=batch.y_nm,
        label=label[batch.of_object],
        purpose=purpose[batch.of_aperture],
        of_object=batch.of_object,
        of_aperture=batch.of_aperture,
        line=batch.line,
        apertures=tables.apertures(),
        strokes=tables.strokes(),
        contours=tables.contours(),
        labels=labels,
        purposes=purposes,
        object_sets=object_sets,
        aperture_sets=aperture_sets,
        path=statements.path,
        function=state.function,
        in_inches=inches,
        step_mm=max(table.step_nm / NM_PER_MM, state.source_step_mm),
        diagnostics=_diagnostics(state, operations, words, statements),
    )


def _end_of(statements: Statements, words: Words) -> int:
    """How many statements count: those up to the end of the file (M02, or M00 of old files)."""
    ends = words.of("M", *_END).statement
    return int(ends[0]) + 1 if len(ends) else len(statements) + 1


def _refuse_two_functions(state: State, statements: Statements) -> None:
    """A file is one layer: what says of itself that it is two may draw both."""
    if len(state.functions) > 1:
        at, function = state.functions[1]
        what = f"the file says that it is {quoted(state.function)}, and here that it is {quoted(function)}"
        raise GerberSyntaxError(what, statements.span(at), ERRORS[CONTRADICTION].do, CONTRADICTION)


def _remark_end(state: State, statements: Statements, end: int) -> None:
    if end > len(statements):
        state.remark(told(NO_END), len(statements) - 1)
    elif statements.tail:
        state.remark(told(AFTER_END), len(statements) - 1)
    for at in (end + np.flatnonzero(statements.end[end:] > statements.start[end:])).tolist():
        state.remark(told(AFTER_END), at)


def _remark_polarity(state: State) -> None:
    """Layers that are known to be no paste, such as solder mask, may well be negative."""
    if state.function.lower().startswith("paste") or not state.function:
        for at in state.negative_at:
            state.remark(told(NEGATIVE_POLARITY), at)


def _remark_unsure_points(state: State, table: Modal) -> None:
    """
    Tell where the current point is taken from before the beginning or end of a block or repeat.

    It is not defined there, and is needed where the first operation behind draws or leaves out a coordinate.
    """
    acts = np.flatnonzero(table.acts)
    at = np.array([bracket.statement for bracket in state.brackets if bracket.moves_on], np.int64)
    following = np.searchsorted(table.statement[acts], distinct(at))
    row = distinct(acts[following[following < len(acts)]])
    unsure = row[~table.is_placed[row] | (table.operation[row] == DRAW)]
    for statement in table.statement[unsure].tolist():
        state.remark(told(POINT_AFTER_BLOCK), statement)


def _settled(state: State, statements: Statements, words: Words) -> tuple[Format, bool]:
    """Format and unit, which have to be known before anything is drawn."""
    drawn = words.statement[among(words.letter, _COORDINATES)]
    first = int(drawn[0]) if len(drawn) else len(statements)
    where = statements.span(min(first, len(statements) - 1))
    if state.format is None or state.format_at > first:
        what = "no coordinate format (FS) is given before the first coordinates"
        hint = f"an aperture list apart from the layer is not enough: {EXPORT_AGAIN}"
        raise GerberSyntaxError(what, where, hint, NO_FORMAT)
    by_code, at = units_by_code(words, statements)
    inches, units_at = (by_code, at) if state.inches is None else (state.inches, state.units_at)
    if by_code not in (None, inches):
        what = "the unit is given twice, and differs"
        raise GerberSyntaxError(what, statements.span(at), EXPORT_AGAIN, CONTRADICTION)
    if inches is None or units_at > first:
        what = "no unit (MOMM or MOIN) is given before the first coordinates"
        hint = f"millimetres and inches look alike: {EXPORT_AGAIN}"
        raise GerberSyntaxError(what, where, hint, NO_UNITS)
    return state.format, inches


def _objects(
    operations: Operations, state: State, tables: Tables, statements: Statements
) -> tuple[Batch, list[Call]]:
    """Objects as written, in order; and the blocks that flashes mean."""
    strokes, contours = operations.strokes, operations.contours
    contour = contours.edges.rows(contours.offset[:-1])
    statement = np.concatenate([operations.flash, strokes.statement, contour.statement])
    place = np.concatenate([operations.flash_nm, strokes.start_nm, contour.start_nm])
    flash_what, calls = _flash_apertures(operations, state, tables)
    pens, is_flash = _pens(operations, state, tables)
    end_nm = strokes.end_nm - strokes.start_nm
    stroke_rows = np.where(is_flash, pens, tables.add_strokes(pens, end_nm, strokes.centre_nm, strokes.turn))
    what = np.concatenate([flash_what, stroke_rows, tables.add_contours(contours)])
    sizes = [len(operations.flash), len(strokes.statement), len(contour.statement)]
    kind = np.repeat(np.array([Kind.FLASH, Kind.STROKE, Kind.REGION], np.int8), sizes)
    kind[sizes[0] + np.flatnonzero(is_flash)] = Kind.FLASH
    order = np.argsort(statement, kind="stable")
    statement, place = statement[order], place[order]
    # an aperture has its attributes from where it is defined, a region from where it is drawn
    tool = np.concatenate([flash_what, pens])
    meant = np.concatenate([tables.defined_at(tool), contour.statement])[order]
    of_object, of_aperture = state.of_objects.at(statement), state.of_apertures.at(meant)
    dark = _at(statement, [(at, int(is_dark)) for at, is_dark in state.polarity], 1).astype(bool)
    lines = statements.lines(statement)
    x_nm, y_nm = place[:, 0].copy(), place[:, 1].copy()
    columns = (dark, x_nm, y_nm, of_object, of_aperture, lines, statement)
    return Batch(kind[order], what[order], *columns), calls


def _numbered(texts: Iterable[str]) -> tuple[tuple[str, ...], IntArray]:
    """Distinct texts, the empty one first; and the row of each of those given."""
    row = {"": 0}
    rows = [row.setdefault(text, len(row)) for text in texts]
    return tuple(row), np.array(rows, np.int64)


def _at(statement: IntArray, history: list[tuple[int, int]], initial: int) -> IntArray:
    """The value that holds at each statement, by a history of (statement from which it holds, value)."""
    if not history:
        return np.full(len(statement), initial, np.int64)
    since = np.array([at for at, _ in history])
    value = np.array([initial, *(value for _, value in history)], np.int64)
    return value[np.searchsorted(since, statement, side="right")]


def _matrices(state: State, statement: IntArray) -> tuple[IntArray, list[Matrix]]:
    """Which of the file's transformations holds at each statement."""
    distinct = dict.fromkeys([Transform(), *(transform for _, transform in state.transform)])
    row = {transform: k for k, transform in enumerate(distinct)}
    history = [(at, row[transform]) for at, transform in state.transform]
    return _at(statement, history, 0), [transform.matrix for transform in distinct]


class _Use(NamedTuple):
    """An aperture as it is used for the first time in a transformation."""

    tool: Tool
    matrix: Matrix
    statement: int


def _uses(number: IntArray, statement: IntArray, state: State) -> tuple[list[_Use], IntArray]:
    """The distinct uses of apertures, in order; and which of them each object is."""
    transform, matrices = _matrices(state, statement)
    generation = state.generations(number, statement)
    most = int(generation.max(initial=0)) + 1
    key = (number * most + generation) * len(matrices) + transform
    used, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    order = np.argsort(first)
    uses = []
    for combined, at in zip(used[order].tolist(), statement[first[order]].tolist(), strict=True):
        tool, turn = divmod(combined, len(matrices))
        uses.append(_Use(Tool(*divmod(tool, most)), matrices[turn], at))
    return uses, np.argsort(order)[inverse]


def _flash_apertures(operations: Operations, state: State, tables: Tables) -> tuple[IntArray, list[Call]]:
    """Row of each flash's aperture, or -1 - row of the calls where it is a block."""
    uses, use = _uses(operations.flash_aperture, operations.flash, state)
    calls: list[Call] = []
    rows = np.zeros(len(uses), np.int64)
    for k, (tool, matrix, at) in enumerate(uses):
        if tool.number in state.blocks:
            calls.append(Call(tool.number, matrix))
            rows[k] = -len(calls)
        else:
            rows[k] = tables.aperture(tool, matrix, at)
    return rows[use], calls


def _pens(operations: Operations, state: State, tables: Tables) -> tuple[IntArray, BoolArray]:
    """
    Row of each stroke's aperture; and whether a stroke covers what a flash would.

    A stroke of no length does, and so may have any aperture.
    """
    number, strokes = operations.stroke_aperture, operations.strokes
    rows, is_flash = np.zeros(len(number), np.int64), np.zeros(len(number), bool)
    is_still = (strokes.end_nm == strokes.start_nm).all(axis=1)
    in_arc = strokes.turn != 0
    for along, of_kind in (
        (Along.LINE, ~in_arc & ~is_still),
        (Along.ARC, in_arc),
        (Along.NOTHING, ~in_arc & is_still),
    ):
        kind = np.flatnonzero(of_kind)
        uses, use = _uses(number[kind], strokes.statement[kind], state)
        pens = [tables.pen(tool, matrix, at, along) for tool, matrix, at in uses]
        rows[kind] = np.array([row for row, _ in pens], np.int64)[use]
        is_flash[kind] = ~np.array([sweeps for _, sweeps in pens], bool)[use]
    for at in strokes.statement[is_flash].tolist():
        state.remark(told(STROKE_OF_NO_LENGTH), at)
    return rows, is_flash


def _diagnostics(
    state: State, operations: Operations, words: Words, statements: Statements
) -> tuple[Diagnostic, ...]:
    """One diagnostic a remark, at its first place, with a count."""
    places: dict[Remark, list[int]] = dict(state.remarks)
    for name, at in legacy_words(words).items():
        places[legacy(name)] = at.tolist()
    for name, at in unknown_words(words).items():
        places[unknown(name)] = at.tolist()
    for code, at in operations.remarks.items():
        places[told(code)] = at.tolist()
    said = []
    old: dict[str, int] = {}
    for remark, rows in places.items():
        if rows:
            text = remark.text if len(rows) == 1 else f"{remark.text} ({len(rows)} times)"
            if remark.code == LEGACY:
                old[text] = min(rows)
            else:
                said.append(Diagnostic(remark.code, remark.level, text, statements.span(min(rows))))
    if old:
        said.append(_said_of_old(old, statements))
    return tuple(sorted(said, key=lambda one: (one.span.line, one.span.column, one.code, one.text)))


def _said_of_old(first: dict[str, int], statements: Statements) -> Diagnostic:
    """One diagnostic for all that is deprecated in a file, by the statements where each stands first."""
    *names, last = sorted(first, key=lambda name: (first[name], name))
    are = f"{', '.join(names)} and {last} are" if names else f"{last} is"
    it_was = "they were read as they were" if names else "it was read as it was"
    span = statements.span(min(first.values()))
    return Diagnostic(LEGACY, DiagnosticLevel.NOTE, f"{are} deprecated; {it_was} meant", span)
