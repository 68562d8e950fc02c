"""Numbers of coordinates -> whole nanometres: zeros left out, units, notation."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.codes import EXPORT_AGAIN, MALFORMED_STATEMENT, NO_FORMAT, TOO_LARGE
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.refusing import refuse
from pastecheck.gerber.state import Format
from pastecheck.gerber.words import Words, held, is_given
from pastecheck.units import MM_PER_INCH, NM_PER_MM

FARTHEST_NM: Final = 10_000 * NM_PER_MM
"""No layer reaches 10 m: farther coordinates are damage, or a wrong format or unit."""


def nm_per_unit(*, inches: bool) -> int:
    """Nanometres of a millimetre or an inch, exactly."""
    return round(NM_PER_MM * MM_PER_INCH) if inches else NM_PER_MM


def nanometres(words: Words, format_: Format, statements: Statements, *, inches: bool) -> IntArray:
    """
    Lengths of coordinate words, rounded to the nanometre.

    Raises:
        GerberSyntaxError: If a number has more digits than zeros left out behind it allow, or fewer than all
            where the format does not say which zeros are left out.
        GerberUnsupportedError: If a length is greater than FARTHEST_NM.
    """
    value, what = words.value, f"of the {format_.digits} digits that the coordinate format gives"
    if format_.omission == "T":
        too_many = words.digits > format_.digits
        refuse(statements, words.statement, too_many, f"a number has more {what}", MALFORMED_STATEMENT)
        left_out = format_.digits - words.digits.astype(np.int64)
        value = value * 10 ** np.maximum(left_out, 0)
    elif format_.omission != "L":
        hint = f"the format does not say which zeros are left out (FSLA): {EXPORT_AGAIN}"
        unclear = words.digits != format_.digits
        refuse(statements, words.statement, unclear, f"a number has not all {what}", NO_FORMAT, hint)
    exact = value * (nm_per_unit(inches=inches) / 10**format_.decimals)
    refuse_far(exact, words.statement, statements)
    whole: IntArray = np.rint(exact).astype(np.int64)
    return whole


def refuse_far(length_nm: FloatArray, statement: IntArray, statements: Statements) -> None:
    """
    Refuse places that no layer can have. Shapes (k,) and (k,).

    Raises:
        GerberUnsupportedError: At the first length beyond FARTHEST_NM.
    """
    far = np.flatnonzero(~(np.abs(length_nm) <= FARTHEST_NM))  # not a number is far too
    if len(far):
        what = f"a coordinate is farther than {FARTHEST_NM // NM_PER_MM // 1000} m from the origin"
        hint = f"the coordinate format or the unit is wrong: {EXPORT_AGAIN}"
        raise GerberUnsupportedError(what, statements.span(int(statement[far[0]])), hint, TOO_LARGE)


def positions(column: IntArray, absolute: BoolArray) -> IntArray:
    """
    Where each statement leaves the current point, along one axis.

    Args:
        column: Coordinates, where given. Shape (n,).
        absolute: Whether a coordinate is a place, or a way from the one before. Shape (n,).
    """
    given = is_given(column)
    if absolute.all():
        return held(column, given, 0)
    way = np.cumsum(np.where(given & ~absolute, column, 0))
    place: IntArray = held(np.where(given, column - way, column), given & absolute, 0) + way
    return place
