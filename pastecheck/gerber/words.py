"""Coordinates, operations and codes: all plain statements of a file at once, in columns."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, CodeArray, IntArray
from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.codes import DAMAGED, MALFORMED_STATEMENT, TOO_LARGE
from pastecheck.gerber.lexer import ByteArray, Statements, plain_text
from pastecheck.gerber.refusing import refuse
from pastecheck.limits import how_to_raise
from pastecheck.ragged import among
from pastecheck.source import Span

_LETTERS: Final = b"GXYIJDMN"
_MOST_DIGITS: Final = 15
_MOST_WORDS: Final = 6
"""Words of a statement, on the average of all that may be read: no statement has a use for more."""
_ABSENT: Final = np.int64(np.iinfo(np.int64).min)

_DIGIT, _LETTER, _SIGN, _ODD, _STAR = range(5)
_KIND = np.full(256, _ODD, np.uint8)
_KIND[list(b"0123456789")] = _DIGIT
_KIND[list(_LETTERS + _LETTERS.lower())] = _LETTER
_KIND[list(b"+-")] = _SIGN
_KIND[ord("*")] = _STAR
_KIND[ord(" ")] = _STAR  # what is blanked out
_ONLY_NUMBERS = np.arange(256, dtype=np.uint8)
_ONLY_NUMBERS[list(_LETTERS + _LETTERS.lower())] = ord(" ")
_UPPER_CASE = np.arange(256, dtype=np.uint8)
_UPPER_CASE[list(_LETTERS.lower())] = list(_LETTERS)


@dataclass(frozen=True, eq=False, slots=True)
class Words:
    """The words of all plain statements: a letter and a whole number. Shape (w,)."""

    statement: IntArray
    letter: ByteArray
    """Upper case."""
    value: IntArray
    digits: CodeArray
    """How many digits are written, leading zeros too."""

    def of(self, letter: str, *values: int) -> "Words":
        """The words of one letter; of certain values only, where some are given."""
        rows = np.flatnonzero(self.letter == ord(letter))
        return self.rows(rows[among(self.value[rows], values)] if values else rows)

    def until(self, statement: int) -> "Words":
        """The words before a statement."""
        return self.rows(slice(0, int(np.searchsorted(self.statement, statement))))

    def rows(self, rows: IntArray | slice) -> "Words":
        """Some of the words."""
        return Words(self.statement[rows], self.letter[rows], self.value[rows], self.digits[rows])


def is_plain(statements: Statements) -> BoolArray:
    """
    Whether each statement is made of words and stands outside percent signs. Shape (n,).

    Comments (G04) are not plain, whatever they hold.
    """
    plain = np.equal(statements.block, 0)
    is_odd = _KIND[np.frombuffer(statements.text, np.uint8)] == _ODD
    if len(plain):  # from each start to its end, and not from there to the next start
        bounds = np.column_stack([statements.start, statements.end]).ravel()
        plain &= ~np.logical_or.reduceat(is_odd, bounds)[::2]
    plain[statements.end == statements.start] = False
    plain[_is_comment(statements)] = False
    return plain


def _is_comment(statements: Statements) -> BoolArray:
    """Statements that begin with G04, G4 or G004, numbered or not: no other code begins so."""
    text = np.frombuffer(statements.text + b"****", np.uint8)
    at = statements.start.copy()
    numbered = np.flatnonzero((text[at] == ord("N")) | (text[at] == ord("n")))
    if len(numbered):
        no_digit = np.flatnonzero(_KIND[text] != _DIGIT)
        at[numbered] = no_digit[np.searchsorted(no_digit, at[numbered] + 1)]
    letter, *digits = (text[np.minimum(at + k, len(text) - 1)] for k in range(4))
    is_four = [digit == ord("4") for digit in digits]
    is_zero = [digit == ord("0") for digit in digits]
    four = is_four[0] | (is_zero[0] & (is_four[1] | (is_zero[1] & is_four[2])))
    return np.asarray(((letter == ord("G")) | (letter == ord("g"))) & four, dtype=bool)


def words_of(statements: Statements, plain: BoolArray, most: int) -> Words:
    """
    The words of the plain statements.

    Args:
        statements: All of the file.
        plain: Which of them are plain. Shape (n,).
        most: How many statements a file may have; it may have as many words as these could use.

    Raises:
        GerberSyntaxError: At the first word without a number, number without a letter, or endless number.
        GerberUnsupportedError: If there are too many words.
    """
    text = plain_text(statements, plain)
    kind = _KIND[text]
    _refuse_too_many(int(np.count_nonzero(kind == _LETTER)), most, statements)
    at = np.flatnonzero(kind == _LETTER)
    statement = _owners(at, np.flatnonzero(plain), statements)
    begins_well = kind[statements.start[plain]] == _LETTER
    stop = np.minimum(np.append(at[1:], len(text)), statements.end[statement])
    signed = kind[np.minimum(at + 1, len(text) - 1)] == _SIGN
    digits = stop - at - 1 - signed
    signs = np.flatnonzero(kind == _SIGN)
    sign_owner = np.searchsorted(statements.end, signs)
    for rows, wrong, what in (
        (np.flatnonzero(plain), ~begins_well, "begins with no letter"),
        (sign_owner, kind[signs - 1] != _LETTER, "has a sign out of place"),
        (statement, digits < 1, "has a letter without a number"),
        (statement, digits > _MOST_DIGITS, f"has a number of more than {_MOST_DIGITS} digits"),
    ):
        refuse(statements, rows, wrong, f"the statement {what}", MALFORMED_STATEMENT, DAMAGED)
    del kind, stop, signed, signs, sign_owner  # as large as the file; the numbers need room
    value = np.fromstring(_ONLY_NUMBERS[text].tobytes(), np.int64, sep=" ")
    return Words(statement, _UPPER_CASE[text[at]], value, digits.astype(np.int8))


def _refuse_too_many(count: int, most: int, statements: Statements) -> None:
    if count > _MOST_WORDS * most:
        what = f"the file has {count} words in its statements; at most {_MOST_WORDS * most} are read"
        hint = how_to_raise("statements", -(-count // _MOST_WORDS))
        raise GerberUnsupportedError(what, Span(statements.path, 1, 1), hint, TOO_LARGE)


def _owners(letter: IntArray, plain: IntArray, statements: Statements) -> IntArray:
    """The statement that each letter of the plain statements stands in."""
    count = np.searchsorted(letter, statements.end[plain]) - np.searchsorted(letter, statements.start[plain])
    return np.repeat(plain, count)


def per_statement(statement: IntArray, value: IntArray, count: int) -> IntArray:
    """Values at their statements; elsewhere none is given. Shape (count,)."""
    column = np.full(count, _ABSENT)
    column[statement] = value
    return column


def is_given(column: IntArray) -> BoolArray:
    """Whether a value is there."""
    return np.not_equal(column, _ABSENT)


def held(column: IntArray, given: BoolArray, initial: int) -> IntArray:
    """Each value kept until the next one is given. Shape of the column."""
    last = np.maximum.accumulate(np.where(given, np.arange(len(column)), -1))
    return np.where(last >= 0, column[last], initial)
