"""Apertures of the plain interpreter: what each covers about (0, 0), in mm."""

import re
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.affinity import rotate

from tests.outside.plane import Object, Point, Shape, disc, filled, image_of_objects, stroked

NUMBER = re.compile(r"\d+\.?\d*|\.\d+")
ARITHMETIC = re.compile(r"[-+*/().\de]*")
FAR_MM = 1000.0

Values = dict[int, float]
"""Variables of a macro by their number."""


@dataclass
class Apertures:
    """Definitions so far, by D-code."""

    unit_mm: float = 1.0
    macros: dict[str, list[str]] = field(default_factory=dict)
    blocks: dict[str, list[Object]] = field(default_factory=dict)
    standard: dict[str, tuple[str, list[float]]] = field(default_factory=dict)
    shapes: dict[str, Shape] = field(default_factory=dict)

    def define(self, definition: str) -> None:
        """A definition behind AD, such as D10C,0.5."""
        found = re.fullmatch(r"(D\d+)([^,]+)(?:,(.*))?", definition)
        assert found, definition
        code, template, text = found[1], found[2], found[3] or ""
        code = f"D{int(code[1:])}"
        values = [float(value) for value in text.split("X") if value]
        self.blocks.pop(code, None)
        self.standard[code] = template, values
        if template in self.macros:
            self.shapes[code] = self.macro(self.macros[template], values)
        else:
            self.shapes[code] = standard_shape(template, self.lengths_in(template, values))

    def lengths_in(self, template: str, values: list[float]) -> list[float]:
        """In mm; corners and angle of P are no lengths."""
        mm = [value * self.unit_mm for value in values]
        if template == "P":
            mm[1:3] = values[1:3]
        return mm

    def objects_of(self, code: str) -> list[Object]:
        """What a flash draws: one dark thing, or all that a block holds."""
        return self.blocks[code] if code in self.blocks else [(True, self.shapes[code])]

    def shape_of(self, code: str) -> Shape:
        return self.shapes[code]

    def is_round(self, code: str) -> bool:
        return self.standard[code][0] == "C"

    def diameter_mm(self, code: str) -> float:
        return self.standard[code][1][0] * self.unit_mm

    def macro(self, body: list[str], parameters: list[float]) -> Shape:
        """A macro called with parameters; its primitives are composed in order, in the unit of the file."""
        variables: Values = dict(enumerate(parameters, 1))
        objects: list[Object] = []
        for line in body:
            if line.startswith("0"):
                continue
            if line.startswith("$"):
                name, expression = line.split("=")
                variables[int(name[1:])] = value_of(expression, variables)
            else:
                code, *values = (value_of(expression, variables) for expression in line.split(","))
                objects.append(primitive(int(code), values))
        return shapely.affinity.scale(image_of_objects(objects), self.unit_mm, self.unit_mm, origin=(0, 0))


def value_of(expression: str, variables: Values) -> float:
    """An expression, evaluated by Python itself once it holds nothing but numbers and signs."""
    signs = expression.replace(" ", "").upper().replace("X", "*")
    numbered = re.sub(r"\$(\d+)", lambda found: f"({variables.get(int(found[1]), 0.0):.17f})", signs)
    text = NUMBER.sub(lambda found: repr(float(found[0])), numbered)
    assert ARITHMETIC.fullmatch(text), expression
    return float(eval(text))


def standard_shape(template: str, mm: list[float]) -> Shape:
    """C, R, O or P, less its hole."""
    sizes = {"C": 1, "R": 2, "O": 2, "P": 3}[template]
    hole = mm[sizes:]
    match template:
        case "C":
            shape = disc(0, 0, mm[0] / 2)
        case "R":
            shape = shapely.box(-mm[0] / 2, -mm[1] / 2, mm[0] / 2, mm[1] / 2)
        case "O":
            shape = obround(mm[0], mm[1])
        case _:
            shape = regular(int(mm[1]), 0, 0, mm[0], mm[2] if len(mm) > 2 else 0)
    if len(hole) == 1:
        return shapely.difference(shape, disc(0, 0, hole[0] / 2))
    if len(hole) == 2:
        return shapely.difference(shape, rectangle(hole[0], hole[1], 0, 0))
    return shape


def obround(width: float, height: float) -> Shape:
    reach_x, reach_y = max(width - height, 0) / 2, max(height - width, 0) / 2
    return stroked([(-reach_x, -reach_y), (reach_x, reach_y)], min(width, height))


def regular(corners: int, x: float, y: float, diameter: float, turn_deg: float) -> Shape:
    """A regular polygon whose first corner lies to the right of its centre before it is turned about it."""
    angle = np.radians(turn_deg) + np.arange(corners) * 2 * np.pi / corners
    return filled([(x + diameter / 2 * np.cos(a), y + diameter / 2 * np.sin(a)) for a in angle])


def rectangle(width: float, height: float, x: float, y: float) -> Shape:
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def primitive(code: int, values: list[float]) -> Object:
    """Whether it is exposed, and what it covers. Whatever it is, it turns about the origin of the macro."""
    if code in (6, 7):
        shape = moire(*values[:8]) if code == 6 else thermal(*values[:5])
        return True, turned(shape, values[8:] if code == 6 else values[5:])
    exposure, *rest = values
    match code:
        case 1:
            shape, angle = disc(rest[1], rest[2], rest[0] / 2), rest[3:]
        case 4:
            count = 2 * (int(rest[0]) + 1)
            points = list(zip(rest[1 : count + 1 : 2], rest[2 : count + 1 : 2], strict=True))
            shape, angle = filled(points), rest[count + 1 :]
        case 5:
            shape, angle = regular(int(rest[0]), rest[1], rest[2], rest[3], 0), rest[4:]
        case 2 | 20:
            shape, angle = bar(rest[0], (rest[1], rest[2]), (rest[3], rest[4])), rest[5:]
        case 21:
            shape, angle = rectangle(rest[0], rest[1], rest[2], rest[3]), rest[4:]
        case 22:
            shape, angle = shapely.box(rest[2], rest[3], rest[2] + rest[0], rest[3] + rest[1]), rest[4:]
        case _:
            raise AssertionError(code)
    return exposure != 0, turned(shape, angle)


def turned(shape: Shape, angle: list[float]) -> Shape:
    result: Shape = rotate(shape, angle[0] if angle else 0, origin=(0, 0))
    return result


def bar(width: float, begin: Point, end: Point) -> Shape:
    """A line with square ends."""
    return shapely.LineString([begin, end]).buffer(width / 2, cap_style="flat")


def ring(x: float, y: float, outer: float, inner: float) -> Shape:
    return shapely.difference(disc(x, y, outer / 2), disc(x, y, inner / 2))


def moire(  # noqa: PLR0917
    x: float, y: float, outer: float, thick: float, gap: float, rings: float, cross: float, length: float
) -> Shape:
    """Rings from the outside inwards, as many as fit and are asked for, and a cross hair."""
    shapes = [rectangle(length, cross, x, y), rectangle(cross, length, x, y)]
    for k in range(int(rings)):
        diameter = outer - 2 * k * (thick + gap)
        if diameter > 0:
            shapes.append(ring(x, y, diameter, diameter - 2 * thick))
    return shapely.union_all(shapes)


def thermal(x: float, y: float, outer: float, inner: float, gap: float) -> Shape:
    cross = shapely.union(rectangle(FAR_MM, gap, x, y), rectangle(gap, FAR_MM, x, y))
    return shapely.difference(ring(x, y, outer, inner), cross)
