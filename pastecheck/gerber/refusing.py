"""How columns of statements are refused: at the first one that is wrong."""

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.codes import EXPORT_AGAIN
from pastecheck.gerber.lexer import Statements


def refuse(
    statements: Statements,
    statement: IntArray,
    wrong: BoolArray,
    what: str,
    code: str,
    hint: str = EXPORT_AGAIN,
) -> None:
    """
    Do nothing where no statement is wrong.

    Args:
        statements: Where they stand.
        statement: Some statements, in order. Shape (k,).
        wrong: Which of them are to be refused. Shape (k,).
        what: Text of the error.
        code: Its code.
        hint: What to do.

    Raises:
        GerberSyntaxError: At the first statement that is wrong.
    """
    if wrong.any():
        span = statements.span(int(statement[np.flatnonzero(wrong)[0]]))
        raise GerberSyntaxError(what, span, hint, code)
