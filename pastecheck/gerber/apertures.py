"""Aperture definitions -> marks in mm; and mirroring, rotation and scaling as matrices."""

import math
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from pastecheck.drawing import Mark, Primitive
from pastecheck.gerber.macros import Macro, MacroError, box, cosine_and_sine, disc, polygon

Matrix: TypeAlias = tuple[float, float, float, float]
"""Rows of a 2 x 2 matrix that turns a point about the origin into its transformed one."""

IDENTITY: Final[Matrix] = (1.0, 0.0, 0.0, 1.0)
_MOST_CORNERS: Final = 12


class Transform(NamedTuple):
    """What LM, LR and LS have set."""

    mirror: str = "N"
    degrees: float = 0.0
    scale: float = 1.0

    @property
    def matrix(self) -> Matrix:
        """Mirror first, then rotate, then scale."""
        cosine, sine = cosine_and_sine(self.degrees)
        flip_x = -1.0 if "X" in self.mirror else 1.0
        flip_y = -1.0 if "Y" in self.mirror else 1.0
        s = self.scale
        return (s * cosine * flip_x, -s * sine * flip_y, s * sine * flip_x, s * cosine * flip_y)


class Definition(NamedTuple):
    """An aperture as it is defined, sizes in the file's unit."""

    number: int
    template: str
    parameters: tuple[float, ...]
    macro: Macro | None
    statement: int


def product(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix of the inner transformation followed by the outer one."""
    a, b, c, d = outer
    e, f, g, h = inner
    return (a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h)


def transformed(primitives: tuple[Primitive, ...], matrix: Matrix) -> tuple[Primitive, ...]:
    """Primitives mirrored, turned and scaled about the aperture's origin."""
    if matrix == IDENTITY:
        return primitives
    turn = np.array(matrix).reshape(2, 2).T
    scale = math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))
    return tuple(
        Primitive(p.adds, tuple(Mark(m.core_mm @ turn, m.radius_mm * scale, m.adds) for m in p.marks))
        for p in primitives
    )


def primitives_of(definition: Definition, mm_per_unit: float) -> tuple[Primitive, ...]:
    """
    What an aperture draws, in mm.

    Raises:
        MacroError: If its parameters make no sense.
    """
    if definition.macro:
        return definition.macro.primitives(definition.parameters, mm_per_unit)
    sizes = [value * mm_per_unit for value in definition.parameters]
    if any(not math.isfinite(value) for value in definition.parameters):
        raise MacroError("a size is no finite number")
    marks = _STANDARD[definition.template](sizes, definition.parameters)
    return (Primitive(True, tuple(marks)),)


def _circle(sizes: list[float], _as_written: tuple[float, ...]) -> list[Mark]:
    _expect(sizes, 1, 3)
    if sizes[0] < 0:
        raise MacroError("a circle has a negative diameter")
    return [disc(sizes[0]), *_hole(sizes[1:])]


def _rectangle(sizes: list[float], _as_written: tuple[float, ...]) -> list[Mark]:
    _expect(sizes, 2, 4)
    _refuse_negative(sizes[:2])
    return [box(sizes[0], sizes[1]), *_hole(sizes[2:])]


def _obround(sizes: list[float], _as_written: tuple[float, ...]) -> list[Mark]:
    _expect(sizes, 2, 4)
    _refuse_negative(sizes[:2])
    width, height = sizes[:2]
    reach = np.array([max(width - height, 0.0) / 2, max(height - width, 0.0) / 2])
    core = np.array([-reach, reach]) if width != height else np.zeros((1, 2))
    return [Mark(core, min(width, height) / 2, adds=True), *_hole(sizes[2:])]


def _regular(sizes: list[float], as_written: tuple[float, ...]) -> list[Mark]:
    _expect(sizes, 2, 5)
    corners = as_written[1]
    if corners != int(corners) or not 3 <= corners <= _MOST_CORNERS:
        raise MacroError(f"a polygon has {corners:g} corners; 3 to {_MOST_CORNERS} are allowed")
    degrees = as_written[2] if len(as_written) > 2 else 0.0
    return [polygon(sizes[0], int(corners), degrees), *_hole(sizes[3:])]


def _hole(sizes: list[float]) -> list[Mark]:
    """A round hole, or the rectangular one of old files; none where its size is 0."""
    if not any(sizes):
        return []
    return [disc(sizes[0], adds=False)] if len(sizes) == 1 else [box(sizes[0], sizes[1], adds=False)]


def _expect(sizes: list[float], least: int, most: int) -> None:
    if not least <= len(sizes) <= most:
        raise MacroError(f"an aperture has {len(sizes)} sizes; {least} to {most} are allowed")


def _refuse_negative(sizes: list[float]) -> None:
    if min(sizes) < 0:
        raise MacroError("an aperture has a negative size")


_STANDARD: Final = {"C": _circle, "R": _rectangle, "O": _obround, "P": _regular}
STANDARD_TEMPLATES: Final = frozenset(_STANDARD)
