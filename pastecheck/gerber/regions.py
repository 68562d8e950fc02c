"""What may not stand inside a region, and ends of regions that were not begun."""

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.codes import EXPORT_AGAIN, MISPLACED_STATEMENT, NO_REGION, told
from pastecheck.gerber.lexer import Statements
from pastecheck.gerber.modal import Modal
from pastecheck.gerber.state import State
from pastecheck.gerber.words import Words


def check_regions(state: State, table: Modal, words: Words, statements: Statements) -> None:
    """
    Refuse commands inside regions that would leave it open what is drawn; remark on ends without beginnings.

    Raises:
        GerberSyntaxError: At the first repeat, block or change of polarity inside a region.
    """
    brackets = np.array([bracket.statement for bracket in state.brackets], np.int64)
    _refuse(brackets, "a step and repeat or block begins or ends inside a region", table, statements)
    changes = _changes_of_polarity(state)
    _refuse(changes, "the polarity changes inside a region", table, statements)
    ends = words.of("G", 37).statement
    for at in ends[~_is_inside(ends, table)].tolist():
        state.remark(told(NO_REGION), at)


def _changes_of_polarity(state: State) -> IntArray:
    """Statements that set another polarity than the one before; a file begins dark."""
    dark = np.array([True, *(is_dark for _, is_dark in state.polarity)])
    at = np.array([at for at, _ in state.polarity], np.int64)
    changes: IntArray = at[dark[1:] != dark[:-1]]
    return changes


def _refuse(at: IntArray, what: str, table: Modal, statements: Statements) -> None:
    inside = at[_is_inside(at, table)]
    if len(inside):
        span = statements.span(int(inside[0]))
        raise GerberSyntaxError(what, span, EXPORT_AGAIN, MISPLACED_STATEMENT)


def _is_inside(at: IntArray, table: Modal) -> BoolArray:
    """Whether each statement stands in a region, by the plain statement before it. Shape of at."""
    before = np.searchsorted(table.statement, at) - 1
    inside = np.append(table.inside, np.False_)
    return inside[before]  # row -1 is the one that was appended: nothing is before it
