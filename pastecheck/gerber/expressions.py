"""Expressions of aperture macros, compiled once: numbers, variables, + - x / and parentheses."""

import math
import re
from collections.abc import Callable, Sequence
from typing import Final

from pastecheck.gerber.codes import BAD_APERTURE
from pastecheck.units import quoted

Values = list[float]
Expression = Callable[[Values], float]

MOST_VARIABLES: Final = 1000
MOST_SIZE: Final = 10_000.0
"""Of an aperture, in the file's unit; also of angles. No layer reaches 10 m."""
_TOKEN: Final = re.compile(r"(?P<number>\d+\.?\d*|\.\d+)|\$(?P<variable>\d+)|(?P<sign>[-+xX/()])")
_MOST_DEPTH: Final = 50
"""Parentheses and signs within one another."""
_MOST_TOKENS: Final = 500
"""Each is a call within a call when the expression is worked out."""


class ApertureError(ValueError):
    """Something in an aperture or macro that makes no sense; the caller adds the place."""

    code = BAD_APERTURE


def refuse_endless(values: Sequence[float], what: str) -> None:
    """
    Refuse sizes that no layer has.

    Args:
        values: Sizes and angles in the file's unit, at least one.
        what: To name them in the error.

    Raises:
        ApertureError: If one is beyond MOST_SIZE, or no number at all.
    """
    total = sum(values)  # no number if one of them is none
    if not math.isfinite(total):
        raise ApertureError(f"{what} has a value that is no finite number")
    if max(values) > MOST_SIZE or min(values) < -MOST_SIZE:
        raise ApertureError(f"{what} has a value beyond {MOST_SIZE:g}")


def expression(text: str) -> Expression:
    """
    Compile an expression without white space.

    Raises:
        ApertureError: If it cannot be understood. So does what is returned, where it divides by zero.

    Example:
        >>> expression("$1/2-0.1x(3+$2)")([0.0, 4.0, 2.0])
        1.5
    """
    parser = _Parser(text)
    value = parser.sum()
    if parser.at != len(parser.tokens):
        raise parser.unreadable()
    return value


def variable(text: str) -> int:
    """The number of a variable, of the text behind its `$`."""
    if not (text.isascii() and text.isdecimal()) or not 0 < int(text[:10]) < MOST_VARIABLES:
        raise ApertureError(f"{quoted('$' + text)} is no macro variable")
    return int(text)


class _Parser:
    """Recursive descent; `x` and `/` bind closer than `+` and `-`, signs closest."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens: list[re.Match[str]] = []
        self.at = 0
        self.depth = 0
        end = 0
        while end < len(text):
            match = _TOKEN.match(text, end)
            if not match or len(self.tokens) == _MOST_TOKENS:
                raise self.unreadable()
            self.tokens.append(match)
            end = match.end()

    def unreadable(self) -> ApertureError:
        return ApertureError(f"cannot read {quoted(self.text)} as an expression")

    def sign(self) -> str:
        """The operator or bracket that comes next, or ""."""
        token = self.tokens[self.at] if self.at < len(self.tokens) else None
        return (token["sign"] or "") if token else ""

    def sum(self) -> Expression:
        value = self.product()
        while (sign := self.sign()) and sign in "+-":
            self.at += 1
            value = _added(value, self.product(), 1.0 if sign == "+" else -1.0)
        return value

    def product(self) -> Expression:
        value = self.factor()
        while (sign := self.sign()) and sign in "xX/":
            self.at += 1
            other = self.factor()
            value = _divided(value, other, self.text) if sign == "/" else _multiplied(value, other)
        return value

    def factor(self) -> Expression:
        self.depth += 1
        if self.at == len(self.tokens) or self.depth > _MOST_DEPTH:
            raise self.unreadable()
        token = self.tokens[self.at]
        self.at += 1
        value = self.signed(token["sign"]) if token["sign"] else _leaf(token)
        self.depth -= 1
        return value

    def signed(self, sign: str) -> Expression:
        """What stands behind a sign or an opening bracket."""
        if sign in "+-":
            return _multiplied(_constant(-1.0 if sign == "-" else 1.0), self.factor())
        if sign != "(":
            raise self.unreadable()
        value = self.sum()
        if self.sign() != ")":
            raise self.unreadable()
        self.at += 1
        return value


def _leaf(token: re.Match[str]) -> Expression:
    return _constant(float(token["number"])) if token["number"] else _looked_up(variable(token["variable"]))


def _constant(number: float) -> Expression:
    return lambda _values: number


def _looked_up(number: int) -> Expression:
    return lambda values: values[number]


def _added(one: Expression, other: Expression, sign: float) -> Expression:
    return lambda values: one(values) + sign * other(values)


def _multiplied(one: Expression, other: Expression) -> Expression:
    return lambda values: one(values) * other(values)


def _divided(one: Expression, other: Expression, text: str) -> Expression:
    def quotient(values: Values) -> float:
        divisor = other(values)
        if divisor == 0:
            raise ApertureError(f"division by zero in {quoted(text)}")
        return one(values) / divisor

    return quotient
