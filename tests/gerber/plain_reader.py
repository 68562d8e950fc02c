"""
A second reader, as plain as can be: one statement at a time, whole numbers and fractions, no columns.

It knows flashes, draws, arcs, regions, modal state, polarity, attributes and step-and-repeat of well-formed
texts, and nothing of apertures but their numbers and attributes. Ours is held against it, on texts and on
real layers.
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from typing import NamedTuple

Point = tuple[int, int]
Attributes = tuple[tuple[str, ...], ...]
"""Names with their values, sorted."""
ORIGIN: Point = (0, 0)
UNITS_NM = {"MM": 1_000_000, "IN": 25_400_000, "71": 1_000_000, "70": 25_400_000}
PLAIN = re.compile(r"([GXYIJD][+-]?\d+)+")
ESCAPED = re.compile(r"\\u([0-9A-Fa-f]{4})")
ATTRIBUTE_IN_A_COMMENT = "G04 #@! "


class Edge(NamedTuple):
    """A straight or circular piece that leaves `start`; the rest is relative to where its object begins."""

    start_nm: Point
    end_nm: Point
    centre_nm: Point
    turn: int


class Thing(NamedTuple):
    """A flash (no edges), a stroke (one edge) or a contour (all its edges)."""

    kind: str
    aperture: int
    dark: bool
    at_nm: Point
    label: str
    of_object: Attributes
    of_aperture: Attributes
    line: int
    edges: tuple[Edge, ...] = ()


def things_in(text: str) -> list[Thing]:
    """What a text draws, in order."""
    return _Reader().read(text)


def _statements(text: str) -> Iterator[tuple[int, str]]:
    line, seen = 1, 0
    for found in re.finditer(r"[^*%\s][^*%]*(?=\*)", text):
        line += text.count("\n", seen, found.start())
        seen = found.start()
        yield line, re.sub(r"[\r\n]", "", found[0]).removeprefix(ATTRIBUTE_IN_A_COMMENT)


def _minus(one: Point, other: Point) -> Point:
    return one[0] - other[0], one[1] - other[1]


def _plus(one: Point, other: Point) -> Point:
    return one[0] + other[0], one[1] + other[1]


class _Reader:
    def __init__(self) -> None:
        self.things: list[Thing] = []
        self.unit_nm = Fraction(0)
        self.digits = 0
        self.decimals = 0
        self.omits_trailing = False
        self.here = ORIGIN
        self.aperture = 0
        self.operation = 0
        self.mode = 1
        self.quadrant = False
        self.dark = True
        self.of_objects: dict[str, tuple[str, ...]] = {}
        self.of_apertures: dict[str, tuple[str, ...]] = {}
        self.defined: dict[int, Attributes] = {}
        self.contour: list[Edge] | None = None
        self.contour_line = 0
        self.repeat: tuple[int, int, int, int] | None = None
        self.repeated: list[Thing] = []

    def read(self, text: str) -> list[Thing]:
        for line, statement in _statements(text):
            if statement[:2] in ("FS", "MO", "LP", "SR", "TA", "TO", "TD", "AD"):
                self.extended(statement)
            elif PLAIN.fullmatch(statement):
                self.plain(statement, line)
        self.repeat_ends()
        return self.things

    def extended(self, statement: str) -> None:
        code, rest = statement[:2], statement[2:]
        if code == "FS":
            self.omits_trailing = rest[0] == "T"
            self.digits, self.decimals = int(rest[3]) + int(rest[4]), int(rest[4])
        elif code == "MO":
            self.unit_nm = Fraction(UNITS_NM[rest])
        elif code == "LP":
            self.dark = rest == "D"
        elif code in ("TA", "TO", "TD", "AD"):
            self.attribute(code, rest)
        elif code == "SR":
            self.repeat_ends()
            if rest:
                nx, ny, dx, dy = re.findall(r"[XYIJ]([-\d.]+)", rest)
                dx_nm, dy_nm = (round(Fraction(length) * self.unit_nm) for length in (dx, dy))
                self.repeat = int(nx), int(ny), dx_nm, dy_nm

    def attribute(self, code: str, rest: str) -> None:
        """An attribute begins or ends, or is attached to an aperture."""
        if code == "AD":
            number = re.match(r"D(\d+)", rest)
            assert number
            self.defined.setdefault(int(number[1]), tuple(sorted(self.of_apertures.values())))
        elif code == "TD":
            for attributes in (self.of_objects, self.of_apertures):
                for name in [rest] if rest else list(attributes):
                    attributes.pop(name, None)
        else:
            fields = [ESCAPED.sub(lambda found: chr(int(found[1], 16)), field) for field in rest.split(",")]
            into = self.of_objects if code == "TO" else self.of_apertures
            into[fields[0]] = tuple(fields)

    def repeat_ends(self) -> None:
        if self.repeat:
            nx, ny, dx, dy = self.repeat
            for i, j in product(range(nx), range(ny)):  # Y first, then X
                self.things += [
                    thing._replace(at_nm=_plus(thing.at_nm, (i * dx, j * dy))) for thing in self.repeated
                ]
        self.repeat, self.repeated = None, []

    @property
    def label(self) -> str:
        component, pin = (self.of_objects.get(name, ("", ""))[1] for name in (".C", ".P"))
        return component or pin

    def thing(self, kind: str, at_nm: Point, line: int, edges: tuple[Edge, ...] = ()) -> None:
        """A thing as of now; a region has the attributes of apertures that are in force."""
        in_force = tuple(sorted(self.of_apertures.values()))
        number = 0 if kind == "region" else self.aperture
        of_aperture = in_force if kind == "region" else self.defined.get(number, ())
        of_object = tuple(sorted(self.of_objects.values()))
        told = (self.label, of_object, of_aperture, line, edges)
        (self.repeated if self.repeat else self.things).append(Thing(kind, number, self.dark, at_nm, *told))

    def plain(self, statement: str, line: int) -> None:
        words = dict(re.findall(r"([GXYIJD])([+-]?\d+)", statement))
        if "G" in words:
            self.prepare(int(words["G"]))
        number = int(words.get("D", 0))
        if number >= 10:
            self.aperture = number
            return
        self.operation = number or self.operation
        if number or set(words) & set("XYIJ"):
            self.operate(words, line)

    def prepare(self, code: int) -> None:
        if code in (1, 2, 3):
            self.mode = code
        elif code in (70, 71):
            self.unit_nm = Fraction(UNITS_NM[str(code)])
        elif code in (74, 75):
            self.quadrant = code == 74
        elif code == 36:
            self.contour = []
        elif code == 37:
            self.contour_ends()
            self.contour = None

    def operate(self, words: dict[str, str], line: int) -> None:
        before = self.here
        self.here = self.length(words, "X", before[0]), self.length(words, "Y", before[1])
        if self.operation == 2:
            self.contour_ends()
        elif self.operation == 3:
            self.thing("flash", self.here, line)
        else:
            offset = self.length(words, "I", 0), self.length(words, "J", 0)
            edge = self.edge(before, self.here, offset)
            if self.contour is None:
                about_start = edge._replace(
                    start_nm=ORIGIN, end_nm=_minus(self.here, before), centre_nm=edge.centre_nm
                )
                self.thing("stroke", before, line, (about_start,))
            else:
                self.contour_line = self.contour_line if self.contour else line
                self.contour.append(edge)

    def length(self, words: dict[str, str], letter: str, otherwise: int) -> int:
        if letter not in words:
            return otherwise
        sign, digits = (
            ("-", words[letter][1:]) if words[letter][0] == "-" else ("", words[letter].lstrip("+"))
        )
        if self.omits_trailing:
            digits = digits.ljust(self.digits, "0")
        return round(Fraction(int(sign + digits), 10**self.decimals) * self.unit_nm)

    def edge(self, start: Point, end: Point, offset: Point) -> Edge:
        """The centre is relative to the start of the edge."""
        turn = {1: 0, 2: -1, 3: 1}[self.mode]
        if turn == 0 or offset == ORIGIN or (self.quadrant and start == end):
            return Edge(start, end, ORIGIN, 0)
        if self.quadrant:
            offset = _best(_minus(end, start), offset, turn)
        return Edge(start, end, offset, turn)

    def contour_ends(self) -> None:
        if not self.contour:
            return
        first, last = self.contour[0].start_nm, self.contour[-1].end_nm
        if first != last:  # some programs leave out the last edge of every contour
            self.contour.append(Edge(last, first, ORIGIN, 0))
        edges = tuple(
            Edge(
                _minus(edge.start_nm, first),
                _minus(edge.end_nm, first),
                _minus(_plus(edge.start_nm, edge.centre_nm), first) if edge.turn else ORIGIN,
                edge.turn,
            )
            for edge in self.contour
        )
        self.thing("region", first, self.contour_line, edges)
        self.contour = []


def _best(chord: Point, offset: Point, turn: int) -> Point:
    """Of the four centres the one with equal radii from which the end is seen within a quarter turn."""
    fitting = []
    for sign_x, sign_y in product((1, -1), (1, -1)):
        x, y = sign_x * offset[0], sign_y * offset[1]
        from_x, from_y, to_x, to_y = -x, -y, chord[0] - x, chord[1] - y
        sine, cosine = turn * (from_x * to_y - from_y * to_x), from_x * to_x + from_y * to_y
        if sine >= 0 and cosine >= 0:
            fitting.append((abs(from_x**2 + from_y**2 - to_x**2 - to_y**2), x, y))
    return min(fitting)[1:]
