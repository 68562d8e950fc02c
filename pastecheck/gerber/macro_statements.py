"""Statements of an aperture macro -> the macro: where it ends, and which of them are comments."""

import re
from typing import Final

import numpy as np

from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import STANDARD_TEMPLATES
from pastecheck.gerber.codes import CONTRADICTION, EXPORT_AGAIN, MALFORMED_STATEMENT, TOO_LARGE
from pastecheck.gerber.expressions import ApertureError
from pastecheck.gerber.lexer import Statements, decoded
from pastecheck.gerber.macros import macro
from pastecheck.gerber.state import State
from pastecheck.limits import how_to_raise
from pastecheck.units import quoted

_DEFINITION: Final = re.compile(rb"A(?:DD\d|M)", re.IGNORECASE)
_COMMENT: Final = re.compile(rb"\s*0(?!\d)")


def define_macro(state: State, statements: Statements, at: int, most: int) -> int:
    """
    Keep the macro that begins at a statement.

    Args:
        state: Gets the macro.
        statements: All of the file.
        at: The statement that names the macro.
        most: How many statements it may have.

    Returns:
        The last statement of the macro.

    Raises:
        GerberSyntaxError: If it makes no sense, or is there already and differs.
        GerberUnsupportedError: If it is too long.
    """
    last = _last_of_macro(statements, at)
    if last - at > most:
        what = f"a macro has {last - at} statements; at most {most} are read"
        hint = how_to_raise("macro-statements", last - at)
        raise GerberUnsupportedError(what, statements.span(at), hint, TOO_LARGE)
    name, *body = (_without_comment(statements, row) for row in range(at, last + 1))
    name = name[2:]
    try:
        made = macro(name, body)
    except ApertureError as error:
        raise GerberSyntaxError(str(error), statements.span(at), EXPORT_AGAIN, error.code) from None
    if not name or name in STANDARD_TEMPLATES:
        what = f"cannot read the name of the macro {quoted(name)}"
        raise GerberSyntaxError(what, statements.span(at), EXPORT_AGAIN, MALFORMED_STATEMENT)
    if name in state.macros and state.macros[name].body != made.body:
        what = f"macro {quoted(name)} is defined twice, and the two differ"
        raise GerberSyntaxError(what, statements.span(at), EXPORT_AGAIN, CONTRADICTION)
    state.macros.setdefault(name, made)
    return last


def _last_of_macro(statements: Statements, at: int) -> int:
    """A macro goes on to the end of its block, or to the next definition in it, as old files have it."""
    last = at
    while last + 1 < len(statements) and statements.block[last + 1] == statements.block[at]:
        start = int(statements.start[last + 1])
        if _DEFINITION.match(statements.text, start):
            break
        last += 1
    return last


def _without_comment(statements: Statements, row: int) -> str:
    """A statement of a macro without white space; a comment (0 and no other digit) as a mere 0."""
    first, end = statements.offset(np.array([statements.start[row], statements.end[row]])).tolist()
    if _COMMENT.match(statements.data, first, end):
        return "0"
    return decoded(statements.text[statements.start[row] : statements.end[row]])
