"""Aperture definitions -> marks in mm; and mirroring, rotation and scaling as matrices."""

import math
from collections.abc import Callable
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from pastecheck.drawing import Mark, Primitive
from pastecheck.gerber.expressions import ApertureError, refuse_endless
from pastecheck.gerber.macros import Macro
from pastecheck.gerber.marks import box, cosine_and_sine, disc, polygon, scaled, turned

Matrix: TypeAlias = tuple[float, float, float, float]
"""Rows of a 2 x 2 matrix that turns a point about the origin into its transformed one."""

IDENTITY: Final[Matrix] = (1.0, 0.0, 0.0, 1.0)
_CORNERS: Final = range(3, 13)


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

    def draws_like(self, other: "Definition") -> bool:
        """Whether the two are the same but for where they stand."""
        return self._replace(statement=other.statement) == other

    def has_extra_values(self) -> bool:
        """Whether it has more parameters than its template, or a primitive of it, knows."""
        if self.macro:
            return self.macro.has_extra_values
        return len(self.parameters) > _STANDARD[self.template].most


def product(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix of the inner transformation followed by the outer one."""
    a, b, c, d = outer
    e, f, g, h = inner
    return (a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h)


def transformed(primitives: tuple[Primitive, ...], matrix: Matrix) -> tuple[Primitive, ...]:
    """
    Primitives mirrored, turned and scaled about the aperture's origin.

    Raises:
        ApertureError: If blocks within blocks scale them beyond all sizes.
    """
    if matrix == IDENTITY:
        return primitives
    refuse_endless(matrix, "its scaling")
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
        ApertureError: If its parameters make no sense.
    """
    if definition.parameters:
        refuse_endless(definition.parameters, "it")
    if definition.macro:
        return definition.macro.primitives(definition.parameters, mm_per_unit)
    template = _STANDARD[definition.template]
    sizes = list(definition.parameters[: template.most])
    if len(sizes) < template.least:
        raise ApertureError(
            f"an aperture {definition.template} has {len(sizes)} sizes and needs {template.least}"
        )
    if min(sizes[: template.least]) < 0:
        raise ApertureError(f"an aperture {definition.template} has a negative size")
    marks = tuple(scaled(mark, mm_per_unit) for mark in template.marks(sizes))
    return (Primitive(True, marks),)


def _circle(sizes: list[float]) -> list[Mark]:
    return [disc(sizes[0]), *_hole(sizes[1:])]


def _rectangle(sizes: list[float]) -> list[Mark]:
    return [box(sizes[0], sizes[1]), *_hole(sizes[2:])]


def _obround(sizes: list[float]) -> list[Mark]:
    width, height = sizes[:2]
    reach = np.array([max(width - height, 0.0) / 2, max(height - width, 0.0) / 2])
    core = np.array([-reach, reach]) if width != height else np.zeros((1, 2))
    return [Mark(core, min(width, height) / 2, adds=True), *_hole(sizes[2:])]


def _regular(sizes: list[float]) -> list[Mark]:
    if sizes[1] not in _CORNERS:
        raise ApertureError(
            f"a polygon has {sizes[1]:g} corners; {_CORNERS[0]} to {_CORNERS[-1]} are allowed"
        )
    turn = sizes[2] if len(sizes) > 2 else 0.0
    return [turned(polygon(sizes[0], int(sizes[1])), turn), *_hole(sizes[3:])]


def _hole(sizes: list[float]) -> list[Mark]:
    """A round hole, or the rectangular one of old files; none where it has no size."""
    if any(size < 0 for size in sizes):
        raise ApertureError("a hole has a negative size")
    if not sizes or 0.0 in sizes:
        return []
    return [disc(sizes[0], adds=False)] if len(sizes) == 1 else [box(sizes[0], sizes[1], adds=False)]


class _Template(NamedTuple):
    """How many sizes a standard aperture needs and knows, and what it draws."""

    least: int
    most: int
    marks: Callable[[list[float]], list[Mark]]


_STANDARD: Final[dict[str, _Template]] = {
    "C": _Template(1, 3, _circle),
    "R": _Template(2, 4, _rectangle),
    "O": _Template(2, 4, _obround),
    "P": _Template(2, 5, _regular),
}
STANDARD_TEMPLATES: Final = frozenset(_STANDARD)
RECTANGULAR_HOLE_SIZES: Final = {name: template.most for name, template in _STANDARD.items()}
"""A standard aperture with so many parameters has a rectangular hole, which is deprecated."""
