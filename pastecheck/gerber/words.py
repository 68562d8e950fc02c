"""Coordinates, operations and codes: all plain statements of a file at once, in columns."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.gerber.lexer import Statements, plain_text

ByteArray = NDArray[np.uint8]

_LETTERS: Final = b"GXYIJDMN"
_MOST_DIGITS: Final = 15
_ABSENT: Final = np.int64(np.iinfo(np.int64).min)

_KIND = np.full(256, 3, np.uint8)  # 0 digit, 1 letter, 2 sign, 3 anything else
_KIND[list(b"0123456789")] = 0
_KIND[list(_LETTERS + _LETTERS.lower())] = 1
_KIND[list(b"+-")] = 2
_KIND[ord("*")] = 4
_LETTER_TO_BLANK = np.arange(256, dtype=np.uint8)
_LETTER_TO_BLANK[list(_LETTERS + _LETTERS.lower() + b"*%")] = ord(" ")


@dataclass(frozen=True, eq=False, slots=True)
class Words:
    """The words of all plain statements: a letter and a whole number. Shape (w,)."""

    statement: IntArray
    letter: ByteArray
    """Upper case."""
    value: IntArray
    digits: IntArray
    """Digits written, leading zeros too."""

    def of(self, letter: str, *values: int) -> "Words":
        """The words of one letter; of certain values only, where some are given."""
        wanted = self.letter == ord(letter)
        return self._taken(np.flatnonzero(wanted & np.isin(self.value, values) if values else wanted))

    def until(self, statement: int) -> "Words":
        """The words before a statement."""
        return self._taken(slice(0, int(np.searchsorted(self.statement, statement))))

    def in_rows(self, row: IntArray) -> "Words":
        """The same words with their statements renumbered."""
        return Words(row[self.statement], self.letter, self.value, self.digits)

    def with_values(self, value: IntArray) -> "Words":
        """The same words with other values."""
        return Words(self.statement, self.letter, value, self.digits)

    def _taken(self, rows: IntArray | slice) -> "Words":
        return Words(self.statement[rows], self.letter[rows], self.value[rows], self.digits[rows])


def is_plain(statements: Statements) -> BoolArray:
    """Whether each statement is made of words only and stands outside percent signs. Shape (n,)."""
    text = np.frombuffer(statements.text, np.uint8)
    plain = statements.block == 0
    odd = np.flatnonzero(_KIND[text] == 3)
    owner = np.searchsorted(statements.end, odd)
    within = owner < len(plain)
    # percent signs between statements belong to none
    within[within] = odd[within] >= statements.start[owner[within]]
    plain[owner[within]] = False
    plain[statements.end == statements.start] = False
    result: BoolArray = plain
    return result


def words_of(statements: Statements, plain: BoolArray) -> Words:
    """
    The words of the plain statements.

    Raises:
        GerberSyntaxError: At the first word without a number, number without a letter, or endless number.
    """
    text = plain_text(statements, plain)
    kind = _KIND[text]
    at = np.flatnonzero(kind == 1)
    statement = np.searchsorted(statements.end, at)
    _refuse_if(
        ~(kind[statements.start[plain]] == 1), np.flatnonzero(plain), statements, "begins with no letter"
    )
    stop = np.minimum(np.append(at[1:], len(text)), statements.end[statement])
    signed = (kind[np.minimum(at + 1, len(text) - 1)] == 2).astype(np.int64)
    digits = stop - at - 1 - signed
    signs = np.flatnonzero(kind == 2)
    stray = signs[kind[signs - 1] != 1]
    _refuse_if(
        np.ones(len(stray), bool),
        np.searchsorted(statements.end, stray),
        statements,
        "has a sign out of place",
    )
    _refuse_if(digits < 1, statement, statements, "has a letter without a number")
    _refuse_if(
        digits > _MOST_DIGITS, statement, statements, f"has a number of more than {_MOST_DIGITS} digits"
    )
    value = np.fromstring(_LETTER_TO_BLANK[text].tobytes(), np.int64, sep=" ")
    letter = text[at]
    return Words(statement, np.where(letter > ord("Z"), letter - 32, letter), value, digits)


def _refuse_if(wrong: BoolArray, statement: IntArray, statements: Statements, what: str) -> None:
    if wrong.any():
        row = int(statement[np.flatnonzero(wrong)[0]])
        raise GerberSyntaxError(
            f"the statement {what}", statements.span(row), "the file is damaged here: export the layer again"
        )


def per_statement(words: Words, count: int) -> IntArray:
    """The value of a letter's last word in each statement, `ABSENT` where it has none. Shape (count,)."""
    column = np.full(count, _ABSENT)
    column[words.statement] = words.value
    return column


def is_given(column: IntArray) -> BoolArray:
    """Whether a value is there."""
    return np.not_equal(column, _ABSENT)


def held(column: IntArray, given: BoolArray, initial: int) -> IntArray:
    """Each value kept until the next one is given. Shape of the column."""
    last = np.maximum.accumulate(np.where(given, np.arange(len(column)), -1))
    return np.where(last >= 0, column[last], initial)
