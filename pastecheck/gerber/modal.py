"""
The graphics state at every plain statement, by forward fill: where we are, and how we draw.

Coordinates, operation codes and modes hold until they are given again; so each is a column in which the last
given value is carried on.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.codes import (
    CONTRADICTION,
    EXPORT_AGAIN,
    MALFORMED_STATEMENT,
    MISPLACED_STATEMENT,
    NO_OPERATION,
    UNCLOSED_REGION,
    UNKNOWN_STATEMENT,
)
from pastecheck.gerber.coordinates import nanometres, nm_per_unit, positions
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.refusing import refuse
from pastecheck.gerber.state import Format
from pastecheck.gerber.words import Words, held, is_given, per_statement
from pastecheck.ragged import among

DRAW, MOVE, FLASH = 1, 2, 3
_FIRST_APERTURE: Final = 10
_INTERPOLATION: Final = (1, 2, 3)
_REGION: Final = (36, 37)
_UNITS: Final = (70, 71)
_ARC_MODE: Final = (74, 75)
_NOTATION: Final = (90, 91)
_IDLE: Final = (54, 55)
"""Codes that once came before the choice of an aperture and before flashes; they do nothing."""
_KNOWN_G: Final = (*_INTERPOLATION, *_REGION, *_IDLE, *_UNITS, *_ARC_MODE, *_NOTATION)
_LEGACY_G: Final = (*_IDLE, *_UNITS, 74, *_NOTATION)
_KNOWN_M: Final = (0, 1, 2)
_DRAWING: Final = list(b"XYIJD")
"""Words of which an operation or the choice of an aperture is made."""


@dataclass(frozen=True, eq=False, slots=True)
class Modal:
    """State after each plain statement. Shape (p,), or (p, 2) for points."""

    statement: IntArray
    acts: BoolArray
    """Whether it draws, moves or flashes."""
    is_coded: BoolArray
    """Whether its operation code stands in it."""
    operation: IntArray
    selected: IntArray
    """The aperture, 0 where none is selected."""
    interpolation: IntArray
    """1 straight, 2 clockwise, 3 counter-clockwise."""
    arc_mode: IntArray
    """74 single-quadrant, 75 multi-quadrant, 0 not given."""
    inside: BoolArray
    """Whether in a region."""
    begins_region: BoolArray
    here_nm: IntArray
    before_nm: IntArray
    is_placed: BoolArray
    """Whether both coordinates stand in it."""
    offset_nm: IntArray
    """Of an arc's centre from its start; 0 where it is not given."""
    step_nm: float
    """The last digit of a coordinate."""


def legacy_words(words: Words) -> dict[str, IntArray]:
    """Deprecated codes, and the statements they stand in."""
    found = {f"G{code}": words.of("G", code).statement for code in _LEGACY_G}
    found |= {f"M{code:02d}": words.of("M", code).statement for code in (0, 1)}
    found["a sequence number (N)"] = words.of("N").statement
    return {name: statement for name, statement in found.items() if len(statement)}


def unknown_words(words: Words) -> dict[str, IntArray]:
    """
    Unknown G- and M-codes that stand by themselves, and their statements; the first of each letter names all.

    One together with coordinates or a D-code may change what these mean, and is refused.
    """
    found = {}
    for letter, known in (("G", _KNOWN_G), ("M", _KNOWN_M)):
        of = _unknown(words, letter, known)
        rows = np.flatnonzero(~_has_company(of, words))
        if len(rows):
            found[f"{letter}{of.value[rows[0]]:02d}"] = of.statement[rows]
    return found


def _unknown(words: Words, letter: str, known: tuple[int, ...]) -> Words:
    of = words.of(letter)
    return of.rows(np.flatnonzero(~among(of.value, known)))


def _has_company(some: Words, words: Words) -> BoolArray:
    """Whether each of some words stands in a statement with coordinates or a D-code."""
    if not len(some.value):
        return np.zeros(0, bool)
    return among(some.statement, words.statement[among(words.letter, _DRAWING)])


def units_by_code(words: Words, statements: Statements) -> tuple[bool | None, int]:
    """Whether G70 (inches) or G71 (millimetres) gives the unit, and where; None where neither is there."""
    g = words.of("G", *_UNITS)
    if not len(g.value):
        return None, -1
    differs = g.value != g.value[0]
    refuse(statements, g.statement, differs, "the unit is given twice, and differs", CONTRADICTION)
    return bool(g.value[0] == 70), int(g.statement[0])


def modal_of(
    statements: Statements, words: Words, plain: IntArray, format_: Format, *, inches: bool
) -> Modal:
    """
    The state after each plain statement.

    Args:
        statements: For places of errors.
        words: Words of the plain statements.
        plain: Plain statements, in order. Shape (p,).
        format_: How coordinates are written.
        inches: Whether in inches.

    Raises:
        GerberSyntaxError: At the first code that is unknown or out of place.
        GerberUnsupportedError: At a coordinate that no layer can have.
    """
    _refuse_unknown(words, statements)
    row = np.full(len(statements), -1, np.int64)
    row[plain] = np.arange(len(plain))

    def column(words: Words, value: IntArray) -> IntArray:
        return per_statement(row[words.statement], value, len(plain))

    def length(letter: str) -> IntArray:
        of = words.of(letter)
        return column(of, nanometres(of, format_, statements, inches=inches))

    def mode(codes: tuple[int, ...], initial: int) -> IntArray:
        of = words.of("G", *codes)
        given = column(of, of.value)
        return held(given, is_given(given), initial)

    x, y, i, j = (length(letter) for letter in "XYIJ")
    d_words = words.of("D")
    d = column(d_words, d_words.value)
    moves = is_given(x) | is_given(y) | is_given(i) | is_given(j)
    coded = is_given(d) & (d < _FIRST_APERTURE)
    begins = np.zeros(len(plain), bool)
    begins[row[words.of("G", _REGION[0]).statement]] = True
    absolute = mode(_NOTATION, 91 if format_.is_incremental else 90) == 90
    here = np.column_stack([positions(x, absolute), positions(y, absolute)])
    table = Modal(
        statement=plain,
        acts=moves | coded,
        is_coded=is_given(d),
        operation=held(d, coded, 0),
        selected=held(d, is_given(d) & ~coded, 0),
        interpolation=mode(_INTERPOLATION, 1),
        arc_mode=mode(_ARC_MODE, 0),
        inside=mode(_REGION, 37) == 36,
        begins_region=begins,
        here_nm=here,
        before_nm=np.concatenate([np.zeros((1, 2), np.int64), here[:-1]])[: len(here)],
        is_placed=is_given(x) & is_given(y),
        offset_nm=np.column_stack([np.where(is_given(i), i, 0), np.where(is_given(j), j, 0)]),
        step_nm=nm_per_unit(inches=inches) / 10**format_.decimals,
    )
    _refuse_misplaced(statements, table, moves & is_given(d) & ~coded)
    return table


def _refuse_unknown(words: Words, statements: Statements) -> None:
    for letter, known in (("G", _KNOWN_G), ("M", _KNOWN_M)):
        of = _unknown(words, letter, known)
        what = f"unknown {letter}-code together with coordinates or a D-code"
        refuse(statements, of.statement, _has_company(of, words), what, UNKNOWN_STATEMENT)
    d = words.of("D")
    no_operation = (d.value < DRAW) | ((d.value > FLASH) & (d.value < _FIRST_APERTURE))
    refuse(statements, d.statement, no_operation, "unknown D-code", UNKNOWN_STATEMENT)
    alone = [(letter, words.of(letter)) for letter in "XYIJD"]
    modes = (_INTERPOLATION, _REGION, _ARC_MODE, _NOTATION)
    alone += [(" or ".join(f"G{code}" for code in codes), words.of("G", *codes)) for codes in modes]
    for name, of in alone:
        twice = np.diff(of.statement, prepend=-1) == 0
        refuse(statements, of.statement, twice, f"{name} stands twice in one statement", MALFORMED_STATEMENT)


def _refuse_misplaced(statements: Statements, table: Modal, selects_and_moves: BoolArray) -> None:
    at, acts, inside = table.statement, table.acts, table.inside
    flashes = acts & (table.operation == FLASH) & inside
    again = table.begins_region & np.concatenate([[False], inside[:-1]])[: len(inside)]
    for wrong, what, code in (
        (selects_and_moves, "an aperture is selected together with coordinates", MISPLACED_STATEMENT),
        (acts & (table.operation == 0), "coordinates before any operation (D01, D02, D03)", NO_OPERATION),
        (flashes, "a flash (D03) inside a region", MISPLACED_STATEMENT),
        (again, "a region (G36) begins inside a region", MISPLACED_STATEMENT),
    ):
        refuse(statements, at, wrong, what, code)
    if len(inside) and inside[-1]:
        begin = statements.span(int(at[np.flatnonzero(table.begins_region)[-1]]))
        hint = f"the last part is missing: {EXPORT_AGAIN}"
        raise GerberSyntaxError(
            "the region that begins here is not ended (G37)", begin, hint, UNCLOSED_REGION
        )
