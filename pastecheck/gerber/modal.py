"""
The graphics state at every plain statement, by forward fill: where we are, and how we draw.

Coordinates, operation codes and modes hold until they are given again; so each is a column in which the last
given value is carried on.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.extended import Format
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.words import Words, held, is_given, per_statement
from pastecheck.units import MM_PER_INCH, NM_PER_MM

EXPORT: Final = "export the layer with current settings of the CAD program"
DRAW, MOVE, FLASH = 1, 2, 3
_FIRST_APERTURE: Final = 10
_KNOWN_G: Final = (1, 2, 3, 36, 37, 54, 55, 70, 71, 74, 75, 90)
_LEGACY_G: Final = (54, 55, 70, 71, 74, 90)


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
    is_single: BoolArray
    """Whether arcs are single-quadrant ones."""
    inside: BoolArray
    """Whether in a region."""
    begins_region: BoolArray
    here_nm: IntArray
    before_nm: IntArray
    offset_nm: IntArray
    """Of an arc's centre from its start; 0 where it is not given."""
    step_nm: float
    """The last digit of a coordinate."""


def nm_per_step(format_: Format, *, inches: bool) -> float:
    """Nanometres of the last digit of a coordinate."""
    unit_nm = NM_PER_MM * (MM_PER_INCH if inches else 1.0)
    return float(round(unit_nm) / 10**format_.decimals)


def legacy_codes(words: Words) -> dict[str, list[int]]:
    """Deprecated G-codes and the statements they stand in."""
    g = words.of("G")
    return {f"G{code}": rows for code in _LEGACY_G if (rows := g.statement[g.value == code].tolist())}


def units_by_code(words: Words, statements: Statements) -> tuple[bool | None, int]:
    """Whether G70 (inches) or G71 (millimetres) gives the unit, and where; None where neither is there."""
    g = words.of("G")
    given = np.flatnonzero((g.value == 70) | (g.value == 71))
    if not len(given):
        return None, -1
    inches = g.value[given] == 70
    if inches.any() and not inches.all():
        raise GerberSyntaxError(
            "the unit changes within the file", statements.span(int(g.statement[given[-1]])), EXPORT
        )
    return bool(inches[0]), int(g.statement[given[0]])


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
        GerberUnsupportedError: At incremental coordinates.
    """
    _refuse_unknown(words, statements)
    row = np.full(len(statements), -1, np.int64)
    row[plain] = np.arange(len(plain))
    step_nm = nm_per_step(format_, inches=inches)

    def column(words: Words) -> IntArray:
        return per_statement(words.in_rows(row), len(plain))

    def codes(*wanted: int) -> tuple[IntArray, BoolArray]:
        found = column(words.of("G", *wanted))
        return found, is_given(found)

    x, y, i, j = (column(_scaled(words.of(letter), format_, step_nm)) for letter in "XYIJ")
    d = column(words.of("D"))
    moves = is_given(x) | is_given(y) | is_given(i) | is_given(j)
    coded = is_given(d) & (d < _FIRST_APERTURE)
    region, region_given = codes(36, 37)
    here = np.column_stack([held(x, is_given(x), 0), held(y, is_given(y), 0)])
    table = Modal(
        statement=plain,
        acts=moves | coded,
        is_coded=is_given(d),
        operation=held(d, coded, 0),
        selected=held(d, is_given(d) & ~coded, 0),
        interpolation=held(*codes(1, 2, 3), initial=1),
        is_single=held(*codes(74, 75), initial=75) == 74,
        inside=held(region, region_given, 37) == 36,
        begins_region=region == 36,
        here_nm=here,
        before_nm=np.concatenate([np.zeros((1, 2), np.int64), here[:-1]])[: len(here)],
        offset_nm=np.column_stack([np.where(is_given(i), i, 0), np.where(is_given(j), j, 0)]),
        step_nm=step_nm,
    )
    _refuse_misplaced(statements, table, moves & is_given(d) & ~coded)
    return table


def _scaled(words: Words, format_: Format, step_nm: float) -> Words:
    """Coordinates in whole nanometres; where trailing zeros were left out they are put back first."""
    value = words.value
    if format_.omits_trailing:
        value = value * 10 ** np.maximum(format_.integers + format_.decimals - words.digits, 0)
    return words.with_values(np.rint(value * step_nm).astype(np.int64))


def _refuse_unknown(words: Words, statements: Statements) -> None:
    g, d, m = words.of("G"), words.of("D"), words.of("M")
    if (incremental := g.statement[g.value == 91]).size:
        raise GerberUnsupportedError(
            "incremental coordinates (G91) are not read", statements.span(int(incremental[0])), EXPORT
        )
    refuse(statements, g.statement, ~np.isin(g.value, _KNOWN_G), "unknown G-code")
    refuse(
        statements,
        d.statement,
        (d.value < 1) | ((d.value > 3) & (d.value < _FIRST_APERTURE)),
        "unknown D-code",
    )
    refuse(statements, m.statement, ~np.isin(m.value, (0, 1, 2)), "unknown M-code")
    for letter in "XYIJD":
        of = words.of(letter)
        twice = np.diff(of.statement, prepend=-1) == 0
        refuse(statements, of.statement, twice, f"{letter} stands twice in one statement")


def _refuse_misplaced(statements: Statements, table: Modal, selects_and_moves: BoolArray) -> None:
    acts, operation, inside = table.acts, table.operation, table.inside
    refuse(
        statements,
        table.statement,
        acts & (operation == 0),
        "coordinates before any operation (D01, D02, D03)",
    )
    refuse(statements, table.statement, acts & (operation == FLASH) & inside, "a flash (D03) inside a region")
    refuse(
        statements, table.statement, selects_and_moves, "an aperture is selected together with coordinates"
    )
    if len(inside) and inside[-1]:
        begin = int(table.statement[np.flatnonzero(np.diff(inside.astype(np.int8), prepend=0) == 1)[-1]])
        raise GerberSyntaxError(
            "the region that begins here is not ended (G37)", statements.span(begin),
            f"the last part is missing: {EXPORT}", "unclosed-region",
        )  # fmt: skip


def refuse(statements: Statements, statement: IntArray, wrong: BoolArray, what: str) -> None:
    """Raise a GerberSyntaxError at the first statement that is wrong, if any is."""
    if wrong.any():
        row = int(statement[np.flatnonzero(wrong)[0]])
        raise GerberSyntaxError(what, statements.span(row), EXPORT)
