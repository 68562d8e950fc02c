"""Plain statements -> flashes, strokes and contours, in columns: the graphics state by forward fill."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.extended import Format
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.words import Words, held, is_given, per_statement
from pastecheck.units import MM_PER_INCH, NM_PER_MM

_EXPORT: Final = "export the layer with current settings of the CAD program"
_DRAW, _MOVE, _FLASH = 1, 2, 3
_FIRST_APERTURE: Final = 10
_KNOWN_G: Final = (1, 2, 3, 36, 37, 54, 55, 70, 71, 74, 75, 90)
_LEGACY_G: Final = (54, 55, 70, 71, 74, 90)
_UNEVEN_NM: Final = 5000
"""Radii of an arc that differ by more are told; less is rounding of coarse formats."""
_HABIT: Final = 2
"""So many contours, all left open, are an exporter's habit and no damage."""
_UNEVEN_SHARE: Final = 0.25
"""Radii that differ by more than this part of the larger are refused."""


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """Straight and circular pieces, each from a start; the centre is relative to it. Shape (k,) and (k, 2)."""

    statement: IntArray
    start_nm: IntArray
    end_nm: IntArray
    centre_nm: IntArray
    turn: CodeArray


@dataclass(frozen=True, eq=False, slots=True)
class Operations:
    """What the plain statements draw."""

    flash: IntArray
    """Statements. Shape (f,)."""
    flash_nm: IntArray
    flash_aperture: IntArray
    """D-codes, 0 where none is selected."""
    strokes: Pieces
    stroke_aperture: IntArray
    edges: Pieces
    """Edges of contours, one contour behind the other."""
    contour: IntArray
    """Contour c has the edges contour[c] to contour[c + 1]."""
    modal: IntArray
    """Statements that have coordinates and no operation code."""
    uneven: IntArray
    """Statements that draw arcs with two radii."""
    left_open: dict[str, IntArray]
    """By diagnostic code: statements that begin contours which did not end where they began."""


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
            "the unit changes within the file", statements.span(int(g.statement[given[-1]])), _EXPORT
        )
    return bool(inches[0]), int(g.statement[given[0]])


def operations_of(
    statements: Statements, words: Words, plain: IntArray, format_: Format, *, inches: bool
) -> Operations:
    """
    Objects that the plain statements draw.

    Args:
        plain: Plain statements, in order. Shape (p,).

    Raises:
        GerberSyntaxError, GerberUnsupportedError: At the first statement that makes no sense.
    """
    _refuse_unknown(words, statements)
    row = np.full(len(statements), -1, np.int64)
    row[plain] = np.arange(len(plain))
    step_nm = nm_per_step(format_, inches=inches)

    def column(letter: str) -> IntArray:
        of = words.of(letter)
        value = of.value
        if letter != "D":
            total = format_.integers + format_.decimals
            if format_.omits_trailing:
                value = value * 10 ** np.maximum(total - of.digits, 0)
            value = np.rint(value * step_nm).astype(np.int64)
        return per_statement(Words(row[of.statement], of.letter, value, of.digits), len(plain))

    def codes(*wanted: int) -> tuple[IntArray, BoolArray]:
        g = words.of("G")
        kept = np.isin(g.value, wanted)
        found = per_statement(
            Words(row[g.statement[kept]], g.letter[kept], g.value[kept], g.digits[kept]), len(plain)
        )
        return found, is_given(found)

    x, y, i, j, d = (column(letter) for letter in "XYIJD")
    moved = is_given(x) | is_given(y) | is_given(i) | is_given(j)
    coded = is_given(d) & (d < _FIRST_APERTURE)
    acts = moved | coded
    operation = held(d, coded, 0)
    selected = held(d, is_given(d) & ~coded, 0)
    mode = held(*codes(1, 2, 3), initial=1)
    single = held(*codes(74, 75), initial=75) == 74
    region_code, region_given = codes(36, 37)
    inside = held(region_code, region_given, 37) == 36
    _refuse_misplaced(statements, plain, acts, operation, inside, moved & is_given(d) & ~coded)
    here = np.column_stack([held(x, is_given(x), 0), held(y, is_given(y), 0)])
    before = np.concatenate([np.zeros((1, 2), np.int64), here[:-1]])[: len(here)]
    offset = np.column_stack([np.where(is_given(i), i, 0), np.where(is_given(j), j, 0)])

    flash = np.flatnonzero(acts & (operation == _FLASH))
    draws = acts & (operation == _DRAW)
    arc = draws & (mode > 1)
    pieces, uneven = _pieces(
        statements, plain, np.flatnonzero(draws), before, here, offset, mode, arc & single, step_nm
    )
    of_region = inside[draws]
    breaks = np.cumsum((acts & (operation == _MOVE) & inside) | (region_code == 36))[draws][of_region]
    contour = np.append(np.flatnonzero(np.diff(breaks, prepend=-1)), len(breaks)).astype(np.int64)
    edges, contour, left_open = _closed(statements, _taken(pieces, of_region), contour, step_nm)
    strokes = _taken(pieces, ~of_region)
    return Operations(
        plain[flash],
        here[flash],
        selected[flash],
        strokes,
        selected[draws][~of_region],
        edges,
        contour,
        plain[acts & ~is_given(d)],
        uneven,
        left_open,
    )


def _taken(pieces: Pieces, wanted: BoolArray) -> Pieces:
    return Pieces(
        pieces.statement[wanted],
        pieces.start_nm[wanted],
        pieces.end_nm[wanted],
        pieces.centre_nm[wanted],
        pieces.turn[wanted],
    )


def _pieces(
    statements: Statements,
    plain: IntArray,
    rows: IntArray,
    before: IntArray,
    here: IntArray,
    offset: IntArray,
    mode: IntArray,
    single: BoolArray,
    step_nm: float,
) -> tuple[Pieces, IntArray]:
    """Strokes and edges alike; and the statements whose arcs have two radii."""
    start, end = before[rows], here[rows]
    turn = np.choose(mode[rows] - 1, [0, -1, 1]).astype(np.int8)
    centre = np.where((turn != 0)[:, None], offset[rows], 0)
    quadrant = np.flatnonzero(single[rows])
    centre[quadrant] = _signed(end[quadrant] - start[quadrant], centre[quadrant], turn[quadrant])
    chord = np.abs(end - start).max(axis=1, initial=0)
    dot = (centre == 0).all(axis=1) & (chord <= 2 * step_nm)  # shorter than the format can tell
    dot[quadrant] |= chord[quadrant] == 0
    turn[dot] = 0
    centre[dot] = 0
    arc = np.flatnonzero(turn)
    first = np.hypot(*centre[arc].T)
    last = np.hypot(*(end - start - centre)[arc].T)
    largest, difference = np.maximum(first, last), np.abs(first - last)
    _refuse(
        statements, plain[rows[arc]], (np.minimum(first, last) == 0) | (difference > _UNEVEN_SHARE * largest),
        "the arc has no centre that fits its ends",
    )  # fmt: skip
    uneven = plain[rows[arc[difference > _UNEVEN_NM]]]
    return Pieces(plain[rows], start, end, centre, turn), uneven


def _signed(chord: IntArray, unsigned: IntArray, turn: CodeArray) -> IntArray:
    """Centres of single-quadrant arcs: of the four signs the one whose radii agree best over at most 90 degrees."""
    best, error = unsigned.copy(), np.full(len(chord), np.inf)
    for sign in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        centre = np.abs(unsigned) * np.array(sign)
        a, b = -centre.astype(np.float64), (chord - centre).astype(np.float64)
        sweep = turn * np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
        off = np.abs(np.hypot(*a.T) - np.hypot(*b.T))
        off = np.where((sweep < -1e-6) | (sweep > np.pi / 2 + 0.01), off + 1e15, off)
        better = off < error
        best[better], error[better] = centre[better], off[better]
    return best


def _closed(
    statements: Statements, edges: Pieces, contour: IntArray, step_nm: float
) -> tuple[Pieces, IntArray, dict[str, IntArray]]:
    """
    Contours with their ends on their beginnings; and the statements that begin those which were not closed.

    A contour that ends within two steps of its beginning is closed by rounding. Some exporters never repeat
    the first point: where all contours of a file are left open, each is closed by a straight edge. One open
    contour among closed ones, or alone, is damage and refused.
    """
    begin, end = contour[:-1], contour[1:] - 1
    if not len(begin):
        return edges, contour, {}
    apart = np.abs(edges.end_nm[end] - edges.start_nm[begin]).max(axis=1)
    far = apart > 2 * step_nm
    told = {"nearly-closed": edges.statement[begin[(apart > 0) & ~far]]}
    if not far.any():
        return edges, contour, told
    if not far.all() or len(far) < _HABIT:
        first = int(np.flatnonzero(far)[0])
        raise GerberSyntaxError(
            "the contour that begins here is not closed", statements.span(int(edges.statement[begin[first]])),
            f"it ends {apart[first] / NM_PER_MM:.4f} mm from its beginning: {_EXPORT}", "unclosed-region",
        )  # fmt: skip
    behind = contour[1:]
    closed = Pieces(
        np.insert(edges.statement, behind, edges.statement[end]),
        np.insert(edges.start_nm, behind, edges.end_nm[end], axis=0),
        np.insert(edges.end_nm, behind, edges.start_nm[begin], axis=0),
        np.insert(edges.centre_nm, behind, 0, axis=0),
        np.insert(edges.turn, behind, 0),
    )
    return closed, contour + np.arange(len(contour)), told | {"open-contours": edges.statement[begin]}


def _refuse_unknown(words: Words, statements: Statements) -> None:
    g, d, m = words.of("G"), words.of("D"), words.of("M")
    if (incremental := g.statement[g.value == 91]).size:
        raise GerberUnsupportedError(
            "incremental coordinates (G91) are not read", statements.span(int(incremental[0])), _EXPORT
        )
    _refuse(statements, g.statement, ~np.isin(g.value, _KNOWN_G), "unknown G-code")
    _refuse(
        statements,
        d.statement,
        (d.value < 1) | ((d.value > 3) & (d.value < _FIRST_APERTURE)),
        "unknown D-code",
    )
    _refuse(statements, m.statement, ~np.isin(m.value, (0, 1, 2)), "unknown M-code")
    for letter in "XYIJD":
        of = words.of(letter)
        twice = np.diff(of.statement, prepend=-1) == 0
        _refuse(statements, of.statement, twice, f"{letter} stands twice in one statement")


def _refuse_misplaced(
    statements: Statements,
    plain: IntArray,
    acts: BoolArray,
    operation: IntArray,
    inside: BoolArray,
    selects_and_moves: BoolArray,
) -> None:
    _refuse(
        statements, plain, acts & (operation == 0), "coordinates before any operation code (D01, D02, D03)"
    )
    _refuse(statements, plain, acts & (operation == _FLASH) & inside, "a flash (D03) inside a region")
    _refuse(statements, plain, selects_and_moves, "an aperture is selected together with coordinates")
    if len(inside) and inside[-1]:
        begin = int(plain[np.flatnonzero(np.diff(inside.astype(np.int8), prepend=0) == 1)[-1]])
        raise GerberSyntaxError(
            "the region that begins here is not ended (G37)", statements.span(begin),
            f"the last part is missing: {_EXPORT}", "unclosed-region",
        )  # fmt: skip


def _refuse(statements: Statements, statement: IntArray, wrong: BoolArray, what: str) -> None:
    if wrong.any():
        row = int(statement[np.flatnonzero(wrong)[0]])
        raise GerberSyntaxError(what, statements.span(row), _EXPORT)
