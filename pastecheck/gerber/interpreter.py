"""Statements -> Drawing. The graphics state lives here, in operations and in extended, and nowhere else."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, Drawing, IntArray, Kind
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.apertures import IDENTITY, Matrix
from pastecheck.gerber.blocks import Batch, Call, expanded
from pastecheck.gerber.extended import Format, State, state_of
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.modal import legacy_codes, modal_of, units_by_code
from pastecheck.gerber.operations import Operations, operations_of
from pastecheck.gerber.tables import Tables
from pastecheck.gerber.words import Words, is_plain, words_of
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import MM_PER_INCH

_END: Final = (0, 2)
_EXPORT: Final = "export the layer with current settings of the CAD program"


def drawing_of(statements: Statements) -> Drawing:
    """
    Interpret a file.

    Raises:
        GerberSyntaxError: If it cannot be read.
        GerberUnsupportedError: If what it draws cannot be measured honestly.
    """
    plain = is_plain(statements) & ~_is_comment(statements)
    words = words_of(statements, plain)
    diagnostics: list[Diagnostic] = []
    end = _end_of(statements, words, diagnostics)
    plain[end:] = False
    words = words.until(end)
    rare = np.flatnonzero(~plain)
    state = state_of(statements, rare[rare < end].tolist())
    rows = np.flatnonzero(plain)
    format_, inches = _settled(state, statements, words)
    state.inches = inches
    operations = operations_of(statements, modal_of(statements, words, rows, format_, inches=inches))
    tables = Tables(statements, state.definitions, MM_PER_INCH if inches else 1.0)
    written, calls, labels = _objects(operations, state, tables, statements)
    batch = expanded(written, calls, state, tables, statements)
    diagnostics += _said(operations, state, legacy_codes(words), statements)
    return Drawing(
        batch.kind,
        batch.what,
        batch.dark,
        batch.x_nm,
        batch.y_nm,
        batch.label,
        batch.line,
        tuple(tables.apertures),
        tables.strokes(),
        tables.contours(),
        labels,
        statements.path,
        state.function,
        inches,
        tuple(sorted(diagnostics, key=lambda one: (one.span.line, one.span.column, one.code))),
    )


def _is_comment(statements: Statements) -> BoolArray:
    """Statements outside percent signs that begin with G04 or G4: no other code begins so."""
    text = np.frombuffer(statements.text + b"***", np.uint8)
    first, second, third = (text[statements.start + k] for k in range(3))
    g = (first == ord("G")) | (first == ord("g"))
    four = (second == ord("4")) | ((second == ord("0")) & (third == ord("4")))
    return np.asarray(g & four & (statements.block == 0), dtype=bool)


def _end_of(statements: Statements, words: Words, diagnostics: list[Diagnostic]) -> int:
    """How many statements count: those up to the end of the file (M02, or M00 of old files)."""
    m = words.of("M")
    ends = m.statement[np.isin(m.value, _END)]
    if not len(ends):
        text = "the file does not say that it ends (M02): its last part may be missing"
        diagnostics.append(
            Diagnostic("no-end", DiagnosticLevel.WARNING, text, statements.span(len(statements) - 1))
        )
        return len(statements)
    end = int(ends[0]) + 1
    behind = np.flatnonzero(statements.end[end:] > statements.start[end:])
    if len(behind):
        text = f"{len(behind)} statements stand behind the end of the file (M02) and are not drawn"
        span = statements.span(end + int(behind[0]))
        diagnostics.append(Diagnostic("after-end", DiagnosticLevel.WARNING, text, span))
    return end


def _settled(state: State, statements: Statements, words: Words) -> tuple[Format, bool]:
    """Format and unit, which have to be known before anything is drawn."""
    drawn = words.statement[np.isin(words.letter, [ord(c) for c in "XYIJ"])]
    first = int(drawn[0]) if len(drawn) else len(statements)
    where = statements.span(min(first, len(statements) - 1))
    if state.format is None or state.format_at > first:
        what = "no coordinate format (FS) is given before the first coordinates"
        raise GerberSyntaxError(
            what, where, f"an aperture list apart from the layer is not enough: {_EXPORT}", "no-format"
        )
    by_code, at = units_by_code(words, statements)
    inches, units_at = state.inches, state.units_at
    if inches is None:
        inches, units_at = by_code, at
    elif by_code not in (None, inches):
        raise GerberSyntaxError("the unit is given twice and differs", statements.span(at), _EXPORT)
    if inches is None or units_at > first:
        what = "no unit (MOMM or MOIN) is given before the first coordinates"
        raise GerberSyntaxError(what, where, f"millimetres and inches look alike: {_EXPORT}", "no-units")
    return state.format, inches


def _objects(
    operations: Operations, state: State, tables: Tables, statements: Statements
) -> tuple[Batch, list[Call], tuple[str, ...]]:
    """Objects as written, in order; the blocks that flashes mean; and all labels."""
    strokes, edges, contour = operations.strokes, operations.edges, operations.contour
    first = contour[:-1]
    statement = np.concatenate([operations.flash, strokes.statement, edges.statement[first]])
    place = np.concatenate([operations.flash_nm, strokes.start_nm, edges.start_nm[first]])
    calls: list[Call] = []
    flash_what = _flash_apertures(operations, state, tables, calls)
    pen = _pens(operations, state, tables)
    stroke_rows = tables.add_strokes(pen, strokes.end_nm - strokes.start_nm, strokes.centre_nm, strokes.turn)
    what = np.concatenate([flash_what, stroke_rows, tables.add_contours(edges, contour)])
    sizes = [len(operations.flash), len(strokes.statement), len(first)]
    kind = np.repeat(np.array([Kind.FLASH, Kind.STROKE, Kind.REGION], np.int8), sizes)
    order = np.argsort(statement, kind="stable")
    statement, place = statement[order], place[order]
    labels = tuple(dict.fromkeys(["", *(text for _, text in state.label)]))
    row_of_label = {text: row for row, text in enumerate(labels)}
    label = _at(statement, [(at, row_of_label[text]) for at, text in state.label], 0)
    dark = _at(statement, [(at, int(is_dark)) for at, is_dark in state.polarity], 1).astype(bool)
    lines = statements.lines(statement)
    batch = Batch(
        kind[order], what[order], dark, place[:, 0].copy(), place[:, 1].copy(), label, lines, statement
    )
    return batch, calls, labels


def _at(statement: IntArray, history: list[tuple[int, int]], initial: int) -> IntArray:
    """The value that holds at each statement, by a history of (statement from which it holds, value)."""
    if not history:
        return np.full(len(statement), initial, np.int64)
    since = np.array([at for at, _ in history])
    value = np.array([initial, *(value for _, value in history)], np.int64)
    return value[np.searchsorted(since, statement, side="right")]


def _matrices(state: State, statement: IntArray) -> tuple[IntArray, list[Matrix]]:
    """Which of the file's transformations holds at each statement."""
    matrices: dict[Matrix, int] = {IDENTITY: 0}
    history = [(at, matrices.setdefault(one.matrix, len(matrices))) for at, one in state.transform]
    return _at(statement, history, 0), list(matrices)


def _flash_apertures(operations: Operations, state: State, tables: Tables, calls: list[Call]) -> IntArray:
    """Row of each flash's aperture, or -1 - row of the calls where it is a block."""
    transform, matrices = _matrices(state, operations.flash)
    key = operations.flash_aperture * len(matrices) + transform
    used, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    blocks = {bracket.number for bracket in state.brackets if bracket.what == "block"}
    rows = []
    for combined, at in zip(used.tolist(), operations.flash[first].tolist(), strict=True):
        number, turn = divmod(combined, len(matrices))
        if number in blocks:
            calls.append(Call(number, matrices[turn]))
            rows.append(-len(calls))
        else:
            rows.append(tables.aperture(number, matrices[turn], at))
    return np.array(rows, np.int64)[inverse]


def _pens(operations: Operations, state: State, tables: Tables) -> IntArray:
    """Row of each stroke's aperture."""
    statement, turn = operations.strokes.statement, operations.strokes.turn
    transform, matrices = _matrices(state, statement)
    key = (operations.stroke_aperture * len(matrices) + transform) * 2 + (turn != 0)
    used, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    rows = []
    for combined, at in zip(used.tolist(), statement[first].tolist(), strict=True):
        number, matrix = divmod(combined // 2, len(matrices))
        row = tables.aperture(number, matrices[matrix], at)
        tables.refuse_as_pen(row, at, in_arc=bool(combined % 2))
        rows.append(row)
    return np.array(rows, np.int64)[inverse]


def _said(
    operations: Operations, state: State, legacy: dict[str, list[int]], statements: Statements
) -> list[Diagnostic]:
    """One diagnostic a construct, at its first place, with a count."""
    said = []
    for code, rows in {**state.legacy, **legacy}.items():
        text = f"{code} is deprecated ({len(rows)} x); it was read as it was meant"
        said.append(Diagnostic("legacy", DiagnosticLevel.NOTE, text, statements.span(min(rows))))
    note, warning = DiagnosticLevel.NOTE, DiagnosticLevel.WARNING
    told = {
        "modal-operation": (note, "statements have no operation code; the last one was taken"),
        "uneven-arc": (warning, "arcs have two radii; the radius was made to change evenly"),
        "nearly-closed": (note, "contours end a step from their beginning; they were closed"),
        "open-contours": (
            warning,
            "contours, all of the file, do not repeat their first point; they were closed",
        ),
    }
    places = {"modal-operation": operations.modal, "uneven-arc": operations.uneven, **operations.left_open}
    said += [
        Diagnostic(code, told[code][0], f"{len(rows)} {told[code][1]}", statements.span(int(rows.min())))
        for code, rows in places.items()
        if len(rows)
    ]
    return said
