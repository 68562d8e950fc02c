"""Aperture macros: expressions compiled once, primitives as marks."""

import math
import re
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, Mark, Primitive

Values = list[float]
Expression = Callable[[Values], float]

_TOKEN: Final = re.compile(r"(?P<number>\d+\.?\d*|\.\d+)|\$(?P<variable>\d+)|(?P<sign>[-+xX/()])")
_MOST_VARIABLES: Final = 1000
_MOST_DEPTH: Final = 50
_MOST_RINGS: Final = 100


class MacroError(ValueError):
    """Something in a macro that the format does not know; the caller adds the place."""


class _Assignment(NamedTuple):
    variable: int
    value: Expression


class _Shape(NamedTuple):
    code: int
    values: tuple[Expression, ...]


class Macro(NamedTuple):
    """A macro, ready to be given parameters."""

    name: str
    steps: tuple[_Assignment | _Shape, ...]

    def primitives(self, parameters: Sequence[float], mm_per_unit: float) -> tuple[Primitive, ...]:
        """
        What the macro draws with parameters, in mm.

        Raises:
            MacroError: If a primitive has too few values, or one that makes no sense.
        """
        variables: Values = [0.0] * _MOST_VARIABLES
        variables[1 : len(parameters) + 1] = parameters
        found: list[Primitive] = []
        for step in self.steps:
            if isinstance(step, _Assignment):
                variables[step.variable] = step.value(variables)
            else:
                found += _drawn(step.code, [value(variables) for value in step.values], mm_per_unit)
        return tuple(found)


def macro(name: str, body: Sequence[str]) -> Macro:
    """
    Compile a macro.

    Args:
        name: Its name.
        body: Its statements without white space: comments, assignments and primitives.

    Raises:
        MacroError: If a statement cannot be understood.
    """
    steps: list[_Assignment | _Shape] = []
    for text in body:
        if text.startswith("0") or not text:
            continue  # a comment
        if text.startswith("$"):
            target, _, value = text.partition("=")
            steps.append(_Assignment(_variable(target[1:]), _expression(value)))
        else:
            code, *values = text.split(",")
            if not code.isdecimal() or int(code) not in _PRIMITIVES:
                raise MacroError(f"macro {name} has no primitive {code!r}")
            steps.append(_Shape(int(code), tuple(_expression(value) for value in values)))
    return Macro(name, tuple(steps))


def _variable(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) < _MOST_VARIABLES:
        raise MacroError(f"${text} is no macro variable")
    return int(text)


class _Parser:
    """Recursive descent over + - x / ( ) with unary signs; `x` and `/` bind closer."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens: list[re.Match[str]] = []
        at = 0
        while at < len(text):
            match = _TOKEN.match(text, at)
            if not match:
                raise MacroError(f"cannot read {text!r} as an expression")
            self.tokens.append(match)
            at = match.end()
        self.at = 0
        self.depth = 0

    def sign(self) -> str:
        token = self.tokens[self.at] if self.at < len(self.tokens) else None
        return (token["sign"] or "") if token else ""

    def sum(self) -> Expression:
        value = self.product()
        while (sign := self.sign()) in ("+", "-") and sign:
            self.at += 1
            value = _added(value, self.product(), 1.0 if sign == "+" else -1.0)
        return value

    def product(self) -> Expression:
        value = self.factor()
        while (sign := self.sign()) in ("x", "X", "/") and sign:
            self.at += 1
            value = (
                _divided(value, self.factor(), self.text)
                if sign == "/"
                else _multiplied(value, self.factor())
            )
        return value

    def factor(self) -> Expression:
        self.depth += 1
        if self.at >= len(self.tokens) or self.depth > _MOST_DEPTH:
            raise MacroError(f"cannot read {self.text!r} as an expression")
        token = self.tokens[self.at]
        self.at += 1
        sign = token["sign"]
        if token["number"]:
            value = _constant(float(token["number"]))
        elif token["variable"]:
            value = _looked_up(_variable(token["variable"]))
        elif sign in ("+", "-"):
            value = _multiplied(_constant(-1.0 if sign == "-" else 1.0), self.factor())
        elif sign == "(":
            value = self.sum()
            if self.sign() != ")":
                raise MacroError(f"a bracket is not closed in {self.text!r}")
            self.at += 1
        else:
            raise MacroError(f"cannot read {self.text!r} as an expression")
        self.depth -= 1
        return value


def _expression(text: str) -> Expression:
    parser = _Parser(text)
    value = parser.sum()
    if parser.at != len(parser.tokens):
        raise MacroError(f"cannot read {text!r} as an expression")
    return value


def _constant(number: float) -> Expression:
    return lambda _values: number


def _looked_up(variable: int) -> Expression:
    return lambda values: values[variable]


def _added(one: Expression, other: Expression, sign: float) -> Expression:
    return lambda values: one(values) + sign * other(values)


def _multiplied(one: Expression, other: Expression) -> Expression:
    return lambda values: one(values) * other(values)


def _divided(one: Expression, other: Expression, text: str) -> Expression:
    def quotient(values: Values) -> float:
        divisor = other(values)
        if divisor == 0:
            raise MacroError(f"division by zero in {text!r}")
        return one(values) / divisor

    return quotient


def _drawn(code: int, values: list[float], mm_per_unit: float) -> list[Primitive]:
    """One primitive of a macro as marks; nothing where it has no size."""
    least, draw = _PRIMITIVES[code]
    if len(values) < least:
        raise MacroError(f"primitive {code} has {len(values)} values and needs {least}")
    if not all(math.isfinite(value) for value in values):
        raise MacroError(f"primitive {code} has a value that is no finite number")
    adds = True
    if code not in _WITHOUT_EXPOSURE:
        if values[0] not in (0.0, 1.0):
            raise MacroError(f"exposure {values[0]:g} is neither 0 nor 1")
        adds = values[0] == 1.0
        values = values[1:]
    marks = draw(values)
    scaled = tuple(Mark(m.core_mm * mm_per_unit, m.radius_mm * mm_per_unit, m.adds) for m in marks)
    return [Primitive(adds, scaled)] if scaled else []


def rotated(points: FloatArray, degrees: float) -> FloatArray:
    """Points turned counter-clockwise about the origin; quarter turns are exact."""
    cosine, sine = cosine_and_sine(degrees)
    turned: FloatArray = points @ np.array([[cosine, sine], [-sine, cosine]])
    return turned


def cosine_and_sine(degrees: float) -> tuple[float, float]:
    """Cosine and sine of an angle, exact for quarter turns."""
    quarter, rest = divmod(degrees, 90)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def disc(diameter: float, x: float = 0.0, y: float = 0.0, *, adds: bool = True) -> Mark:
    """A circle."""
    return Mark(np.array([[x, y]]), diameter / 2, adds)


def box(width: float, height: float, x: float = 0.0, y: float = 0.0, *, adds: bool = True) -> Mark:
    """A rectangle about its centre."""
    a, b = width / 2, height / 2
    return Mark(np.array([[x - a, y - b], [x + a, y - b], [x + a, y + b], [x - a, y + b]]), 0.0, adds)


def polygon(diameter: float, corners: int, degrees: float, x: float = 0.0, y: float = 0.0) -> Mark:
    """A regular polygon by the circle through its corners, the first on the x axis before it is turned."""
    turn = np.arange(corners) * (360 / corners)
    ring = [cosine_and_sine(angle) for angle in turn.tolist()]
    return Mark(rotated(np.array(ring) * (diameter / 2), degrees) + np.array([x, y]), 0.0, adds=True)


def _turned(mark: Mark, degrees: float) -> Mark:
    return Mark(rotated(mark.core_mm, degrees), mark.radius_mm, mark.adds)


def _circle(values: list[float]) -> list[Mark]:
    diameter, x, y, *turn = values
    if diameter < 0:
        raise MacroError("a circle has a negative diameter")
    return [_turned(disc(diameter, x, y), turn[0] if turn else 0.0)] if diameter else []


def _vector_line(values: list[float]) -> list[Mark]:
    width, x1, y1, x2, y2, turn = values[:6]
    length = math.hypot(x2 - x1, y2 - y1)
    if not length or not width:
        return []
    across = np.array([y1 - y2, x2 - x1]) * (width / 2 / length)
    begin, end = np.array([x1, y1]), np.array([x2, y2])
    core = np.array([begin - across, end - across, end + across, begin + across])
    return [_turned(Mark(core, 0.0, adds=True), turn)]


def _centre_line(values: list[float]) -> list[Mark]:
    width, height, x, y, turn = values[:5]
    return [_turned(box(width, height, x, y), turn)] if width and height else []


def _lower_left_line(values: list[float]) -> list[Mark]:
    width, height, x, y, turn = values[:5]
    return _centre_line([width, height, x + width / 2, y + height / 2, turn])


def _outline(values: list[float]) -> list[Mark]:
    count = int(values[0])
    if count != values[0] or count < 1 or len(values) < 2 * count + 4:
        raise MacroError(f"an outline of {values[0]:g} sides has {len(values)} values")
    points = np.array(values[1 : 2 * count + 3]).reshape(-1, 2)
    if not np.array_equal(points[0], points[-1]):
        raise MacroError("an outline does not end where it began")
    if count < 3:
        return []
    return [_turned(Mark(points[:-1], 0.0, adds=True), values[2 * count + 3])]


def _polygon(values: list[float]) -> list[Mark]:
    corners, x, y, diameter, turn = values[:5]
    if corners != int(corners) or not 3 <= corners <= 360:
        raise MacroError(f"a polygon has {corners:g} corners")
    return [_turned(polygon(diameter, int(corners), 0.0, x, y), turn)] if diameter else []


def _moire(values: list[float]) -> list[Mark]:
    x, y, outer, thick, gap, most, cross_thick, cross_long, turn = values[:9]
    if most > _MOST_RINGS:
        raise MacroError(f"a moiré of {most:g} rings; at most {_MOST_RINGS} are read")
    marks = []
    for ring in range(int(most)):
        diameter = outer - 2 * ring * (thick + gap)
        if diameter <= 0 or thick <= 0:
            break
        marks.append(disc(diameter, x, y))
        if diameter > 2 * thick:
            marks.append(disc(diameter - 2 * thick, x, y, adds=False))
    if cross_thick > 0 and cross_long > 0:
        marks += [box(cross_long, cross_thick, x, y), box(cross_thick, cross_long, x, y)]
    return [_turned(mark, turn) for mark in marks]


def _thermal(values: list[float]) -> list[Mark]:
    x, y, outer, inner, gap, turn = values[:6]
    if not (outer > inner >= 0 and 0 <= gap < outer / math.sqrt(2)):
        raise MacroError("a thermal's diameters and gap do not fit")
    marks = [disc(outer, x, y)]
    if inner:
        marks.append(disc(inner, x, y, adds=False))
    if gap:
        marks += [box(2 * outer, gap, x, y, adds=False), box(gap, 2 * outer, x, y, adds=False)]
    return [_turned(mark, turn) for mark in marks]


_PRIMITIVES: Final[dict[int, tuple[int, Callable[[list[float]], list[Mark]]]]] = {
    1: (4, _circle),
    2: (7, _vector_line),
    4: (9, _outline),
    5: (6, _polygon),
    6: (9, _moire),
    7: (6, _thermal),
    20: (7, _vector_line),
    21: (6, _centre_line),
    22: (6, _lower_left_line),
}
_WITHOUT_EXPOSURE: Final = (6, 7)
