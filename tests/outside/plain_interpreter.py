"""
A reader of our own: the whole format, one statement at a time, with plain unions and differences.

It was written from a summary of the specification (revision 2023.08), and from memory where that is silent,
without a look at the reader that ships. No columns, no grid, no closed forms; arcs have 512 chords a turn. It
knows what no general-purpose library is right about, such as polarity within blocks, scaled pens, rectangular
holes and G74, and it believes that a layer is valid.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

import shapely
from shapely.affinity import affine_transform, translate

from tests.outside.plain_apertures import Apertures
from tests.outside.plane import Object, Point, Shape, arc_points, filled, image_of_objects, stroked

STATEMENT = re.compile(r"%([^%]*)%|([^%*]*)\*")
WORD = re.compile(r"([GXYIJD])([+-]?\d+)")
QUARTER_TURN = 1.571


def image_of(text: str) -> Shape:
    """What a layer leaves open, in mm."""
    reader = _Reader()
    for statement in _statements(text):
        reader.take(statement)
    return image_of_objects(reader.objects)


def _statements(text: str) -> Iterator[str]:
    """Statements in upper case; a macro is one statement."""
    for found in STATEMENT.finditer(re.sub(r"[\r\n]", "", text)):
        extended, word = found.groups()
        if extended is None:
            yield word.strip().upper()
        elif extended.startswith("AM"):
            yield extended.upper()
        else:
            yield from filter(None, extended.upper().split("*"))


@dataclass
class _Reader:
    apertures: Apertures = field(default_factory=Apertures)
    digits: int = 0
    decimals: int = 0
    omits_trailing: bool = False
    x: float = 0.0
    y: float = 0.0
    aperture: str = ""
    operation: int = 0
    mode: int = 1
    quadrant: bool = False
    dark: bool = True
    mirror: str = "N"
    turn_deg: float = 0.0
    scale: float = 1.0
    contour: list[Point] | None = None
    open_blocks: list[str] = field(default_factory=list)
    drawn: list[list[Object]] = field(default_factory=lambda: [[]])
    """What is drawn so far: of the layer, and of each block or repeat that is open."""
    repeat: tuple[int, int, float, float] | None = None

    @property
    def objects(self) -> list[Object]:
        return self.drawn[0]

    def take(self, statement: str) -> None:
        for code in (statement[:2], statement[:3]):
            if action := getattr(self, f"_on_{code.lower()}", None):
                action(statement[len(code) :])
                return
        if not statement.startswith(("G04", "G4", "M", "T", "IN", "LN", "AS", "IP", "OF", "SF", "IR")):
            self._operation(statement)

    # ------------------------------------------------------------------------------------------ commands

    def _on_fs(self, rest: str) -> None:
        self.omits_trailing = rest[0] == "T"
        self.digits, self.decimals = int(rest[3]) + int(rest[4]), int(rest[4])

    def _on_mo(self, rest: str) -> None:
        self.apertures.unit_mm = 25.4 if rest == "IN" else 1.0

    def _on_mia(self, rest: str) -> None:
        """Image mirroring is only ever neutral here."""

    def _on_am(self, rest: str) -> None:
        name, *body = rest.split("*")
        self.apertures.macros[name] = [line.strip() for line in body if line.strip()]

    def _on_ad(self, rest: str) -> None:
        self.apertures.define(rest)

    def _on_lp(self, rest: str) -> None:
        self.dark = rest == "D"

    def _on_lm(self, rest: str) -> None:
        self.mirror = rest

    def _on_lr(self, rest: str) -> None:
        self.turn_deg = float(rest)

    def _on_ls(self, rest: str) -> None:
        self.scale = float(rest)

    def _on_ab(self, rest: str) -> None:
        if rest:
            self.open_blocks.append(rest)
            self.drawn.append([])
        else:
            self.apertures.blocks[self.open_blocks.pop()] = self.drawn.pop()

    def _on_sr(self, rest: str) -> None:
        if self.repeat:
            nx, ny, dx, dy = self.repeat
            copied = self.drawn.pop()
            for i, j in product(range(nx), range(ny)):  # Y first, then X
                self.drawn[-1] += [(dark, translate(shape, i * dx, j * dy)) for dark, shape in copied]
        self.repeat = None
        if rest:
            values = dict(re.findall(r"([XYIJ])([-+.\d]+)", rest))
            unit = self.apertures.unit_mm
            self.repeat = (
                int(values["X"]),
                int(values["Y"]),
                float(values["I"]) * unit,
                float(values["J"]) * unit,
            )
            self.drawn.append([])

    # ---------------------------------------------------------------------------------------- operations

    def _operation(self, statement: str) -> None:
        words = dict(WORD.findall(statement))
        self._prepare(int(words.get("G", 0)))
        code = int(words.get("D", 0))
        if code >= 10:
            self.aperture = f"D{code}"
            return
        self.operation = code or self.operation
        if code or words.keys() & set("XYIJ"):
            x, y = self._length(words, "X", self.x), self._length(words, "Y", self.y)
            offset = self._length(words, "I", 0.0), self._length(words, "J", 0.0)
            self._operate((self.x, self.y), (x, y), offset)
            self.x, self.y = x, y

    def _prepare(self, code: int) -> None:
        if code in (1, 2, 3):
            self.mode = code
        elif code in (74, 75):
            self.quadrant = code == 74
        elif code == 36:
            self.contour = []
        elif code == 37:
            self._end_contour()
            self.contour = None

    def _length(self, words: dict[str, str], letter: str, otherwise: float) -> float:
        if letter not in words:
            return otherwise
        sign = -1 if words[letter].startswith("-") else 1
        digits = words[letter].lstrip("+-")
        if self.omits_trailing:
            digits = digits.ljust(self.digits, "0")
        return sign * int(digits) * self.apertures.unit_mm / float(10**self.decimals)

    def _operate(self, here: Point, there: Point, offset: Point) -> None:
        if self.operation == 2:
            self._end_contour()
        elif self.operation == 3:
            for dark, shape in self.apertures.objects_of(self.aperture):
                moved = translate(self._transformed(shape), *there)
                self.drawn[-1].append((dark == self.dark, moved))
        elif self.operation == 1:
            path = self._path(here, there, offset)
            if self.contour is None:
                self._stroke(path)
            else:
                self.contour += path if not self.contour else path[1:]

    def _path(self, here: Point, there: Point, offset: Point) -> list[Point]:
        if self.mode == 1 or (self.quadrant and here == there):
            return [here, there]
        turn = 1 if self.mode == 3 else -1
        if not self.quadrant:
            return arc_points(here, there, (here[0] + offset[0], here[1] + offset[1]), turn)
        centres = [(here[0] + i * offset[0], here[1] + j * offset[1]) for i in (1, -1) for j in (1, -1)]
        best = min(centres, key=lambda centre: _misfit(here, there, centre, turn))
        return arc_points(here, there, best, turn)

    def _end_contour(self) -> None:
        if self.contour:
            self.drawn[-1].append((self.dark, filled(self.contour)))
            self.contour = []

    def _transformed(self, shape: Shape) -> Shape:
        """Mirrored, then turned, and scaled, about the origin."""
        sx, sy = (-1 if "X" in self.mirror else 1), (-1 if "Y" in self.mirror else 1)
        mirrored = affine_transform(shape, [sx * self.scale, 0, 0, sy * self.scale, 0, 0])
        turned: Shape = shapely.affinity.rotate(mirrored, self.turn_deg, origin=(0, 0))
        return turned

    def _stroke(self, path: list[Point]) -> None:
        pen = self._transformed(self.apertures.shape_of(self.aperture))
        if self.apertures.is_round(self.aperture):
            drawn = stroked(path, self.apertures.diameter_mm(self.aperture) * self.scale)
        else:
            ends = [translate(pen, *path[0]), translate(pen, *path[-1])]
            drawn = shapely.union_all(ends).convex_hull
        self.drawn[-1].append((self.dark, drawn))


def _misfit(here: Point, there: Point, centre: Point, turn: int) -> tuple[bool, float]:
    """Whether the arc about a centre is more than a quarter turn; and how unlike the two radii are."""
    (ax, ay), (bx, by) = ((x - centre[0], y - centre[1]) for x, y in (here, there))
    within = turn * (ax * by - ay * bx) >= 0 and ax * bx + ay * by >= -1e-9
    return not within, abs((ax * ax + ay * ay) ** 0.5 - (bx * bx + by * by) ** 0.5)
