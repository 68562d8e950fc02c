"""Aperture macros: compiled once, given parameters, drawn as primitives of marks."""

import math
import re
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import Mark, Primitive
from pastecheck.gerber.expressions import (
    MOST_VARIABLES,
    ApertureError,
    Expression,
    Values,
    expression,
    refuse_endless,
    variable,
)
from pastecheck.gerber.marks import box, disc, polygon, scaled, turned
from pastecheck.units import quoted

_MOST_RINGS: Final = 100
_MOST_CORNERS: Final = 360
_FEWEST_CORNERS: Final = 3
_CLOSING_STEPS: Final = 2
"""An outline may end this many millionths of the file's unit from where it began, by rounding."""


class _Assignment(NamedTuple):
    variable: int
    value: Expression


class _Shape(NamedTuple):
    code: int
    values: tuple[Expression, ...]


class Macro(NamedTuple):
    """A macro, ready to be given parameters."""

    name: str
    body: tuple[str, ...]
    """As written, without white space."""
    steps: tuple[_Assignment | _Shape, ...]
    has_extra_values: bool
    """Whether a primitive is given more values than it knows."""
    lacks_rotations: bool
    """Whether a primitive is given all its values but the last one, its rotation. A circle needs none."""
    first_set: float
    """With so many parameters or more, a variable is set twice; infinite where none is."""

    def primitives(self, parameters: Sequence[float], mm_per_unit: float) -> tuple[Primitive, ...]:
        """
        What the macro draws with parameters, in mm. A primitive without any size draws nothing.

        Raises:
            ApertureError: If a primitive has too few values, or one that makes no sense.
        """
        if len(parameters) >= MOST_VARIABLES:
            raise ApertureError(f"{len(parameters)} parameters; at most {MOST_VARIABLES - 1} are read")
        variables: Values = [0.0] * MOST_VARIABLES
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
        name: As apertures call it.
        body: Its statements without white space: comments, assignments and primitives. A comment begins with
            a 0 that no digit follows.

    Raises:
        ApertureError: If a statement cannot be understood.
    """
    steps: list[_Assignment | _Shape] = []
    for text in body:
        if not text or (text[0] == "0" and not text[1:2].isdigit()):
            continue  # a comment
        if text.startswith("$"):
            target, _, value = text[1:].partition("=")
            steps.append(_Assignment(variable(target), expression(value)))
        else:
            code, *values = text.split(",")
            if not re.fullmatch(r"[0-9]{1,4}", code) or int(code) not in _PRIMITIVES:
                raise ApertureError(f"macro {quoted(name)} holds {quoted(text)}, which is no primitive")
            steps.append(_Shape(int(code), tuple(expression(value) for value in values)))
    shapes = [step for step in steps if isinstance(step, _Shape)]
    extra, lacks = any(map(_has_extra_values, shapes)), any(map(_lacks_rotation, shapes))
    return Macro(name, tuple(body), tuple(steps), extra, lacks, _first_set(steps))


def _has_extra_values(shape: _Shape) -> bool:
    return shape.code != _OUTLINE_CODE and len(shape.values) > _PRIMITIVES[shape.code].most


def _lacks_rotation(shape: _Shape) -> bool:
    if shape.code == _CIRCLE_CODE:
        return False
    if shape.code == _OUTLINE_CODE:  # exposure, sides and rotation, and an even number of coordinates
        return len(shape.values) % 2 == 0
    return len(shape.values) == _PRIMITIVES[shape.code].most - 1


def _first_set(steps: Sequence[_Assignment | _Shape]) -> float:
    """The lowest variable that is assigned to; 0 where one is assigned to twice."""
    variables = [step.variable for step in steps if isinstance(step, _Assignment)]
    return 0 if len(set(variables)) < len(variables) else min(variables, default=math.inf)


def _drawn(code: int, values: list[float], mm_per_unit: float) -> list[Primitive]:
    """One primitive of a macro as marks; nothing where it has no size."""
    kind = _PRIMITIVES[code]
    if len(values) < kind.most - 1:
        raise ApertureError(f"primitive {code} has {len(values)} values and needs {kind.most - 1}")
    if len(values) == kind.most - 1:
        values = [*values, 0.0]  # not turned
    refuse_endless(values, f"primitive {code}")
    adds = True
    if kind.has_exposure:
        if values[0] not in (0.0, 1.0):
            raise ApertureError(f"primitive {code} has exposure {values[0]:g}; it is 0 or 1")
        adds = values[0] == 1.0
        values = values[1:]
    marks = tuple(scaled(mark, mm_per_unit) for mark in kind.marks(values))
    return [Primitive(adds, marks)] if marks else []


def _circle(values: list[float]) -> list[Mark]:
    diameter, x, y, turn = values[:4]
    if diameter < 0:
        raise ApertureError("a circle has a negative diameter")
    return [turned(disc(diameter, x, y), turn)] if diameter else []


def _vector_line(values: list[float]) -> list[Mark]:
    width, x1, y1, x2, y2, turn = values[:6]
    length = math.hypot(x2 - x1, y2 - y1)
    if width < 0:
        raise ApertureError("a line has a negative width")
    if not length or not width:
        return []
    across = np.array([y1 - y2, x2 - x1]) * (width / 2 / length)
    begin, end = np.array([x1, y1]), np.array([x2, y2])
    core = np.array([begin - across, end - across, end + across, begin + across])
    return [turned(Mark(core, 0.0, adds=True), turn)]


def _centre_line(values: list[float]) -> list[Mark]:
    width, height, x, y, turn = values[:5]
    if min(width, height) < 0:
        raise ApertureError("a rectangle has a negative side")
    return [turned(box(width, height, x, y), turn)] if width and height else []


def _lower_left_line(values: list[float]) -> list[Mark]:
    width, height, x, y, turn = values[:5]
    return _centre_line([width, height, x + width / 2, y + height / 2, turn])


def _outline(values: list[float]) -> list[Mark]:
    sides, *given = values
    if sides != int(sides) or sides < 1 or len(given) - 2 * sides not in (2, 3):
        raise ApertureError(
            f"an outline of {sides:g} sides has {len(given)} values and needs {2 * sides + 3:g}"
        )
    turn = given.pop() if len(given) % 2 else 0.0
    points = np.array(given).reshape(-1, 2)
    if np.abs(points[0] - points[-1]).max() > _CLOSING_STEPS * 1e-6:
        raise ApertureError("an outline does not end where it began")
    if sides < _FEWEST_CORNERS:
        return []
    return [turned(Mark(points[:-1], 0.0, adds=True), turn)]


def _polygon(values: list[float]) -> list[Mark]:
    corners, x, y, diameter, turn = values[:5]
    if corners != int(corners) or not _FEWEST_CORNERS <= corners <= _MOST_CORNERS:
        raise ApertureError(f"a polygon has {corners:g} corners")
    if diameter < 0:
        raise ApertureError("a polygon has a negative diameter")
    return [turned(polygon(diameter, int(corners), x, y), turn)] if diameter else []


def _moire(values: list[float]) -> list[Mark]:
    x, y, outer, thick, gap, most, cross_thick, cross_long, turn = values[:9]
    if most != int(most) or not 0 <= most <= _MOST_RINGS:
        raise ApertureError(f"a moiré of {most:g} rings; 0 to {_MOST_RINGS} are read")
    if min(outer, thick, gap, cross_thick, cross_long) < 0:
        raise ApertureError("a moiré has a negative size")
    marks = []
    for ring in range(int(most)):
        diameter = outer - 2 * ring * (thick + gap)
        if diameter <= 0 or thick == 0:
            break
        marks.append(disc(diameter, x, y))
        if diameter > 2 * thick:
            marks.append(disc(diameter - 2 * thick, x, y, adds=False))
    if cross_thick and cross_long:
        marks += [box(cross_long, cross_thick, x, y), box(cross_thick, cross_long, x, y)]
    return [turned(mark, turn) for mark in marks]


def _thermal(values: list[float]) -> list[Mark]:
    x, y, outer, inner, gap, turn = values[:6]
    if not (outer > inner >= 0 and 0 <= gap < outer / math.sqrt(2)):
        raise ApertureError("a thermal's diameters and gap do not fit one another")
    marks = [disc(outer, x, y)]
    if inner:
        marks.append(disc(inner, x, y, adds=False))
    if gap:
        marks += [box(2 * outer, gap, x, y, adds=False), box(gap, 2 * outer, x, y, adds=False)]
    return [turned(mark, turn) for mark in marks]


class _Kind(NamedTuple):
    """A primitive code: how many values it knows, exposure included and its rotation last; what it draws."""

    most: int
    marks: Callable[[list[float]], list[Mark]]
    has_exposure: bool = True


_CIRCLE_CODE: Final = 1
_OUTLINE_CODE: Final = 4
_PRIMITIVES: Final[dict[int, _Kind]] = {
    _CIRCLE_CODE: _Kind(5, _circle),
    2: _Kind(7, _vector_line),
    _OUTLINE_CODE: _Kind(9, _outline),  # and two more values a side
    5: _Kind(6, _polygon),
    6: _Kind(9, _moire, has_exposure=False),
    7: _Kind(6, _thermal, has_exposure=False),
    20: _Kind(7, _vector_line),
    21: _Kind(6, _centre_line),
    22: _Kind(6, _lower_left_line),
}
