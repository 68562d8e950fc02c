"""
Random layers give the open area and the number of parts that a general-purpose Gerber library gives.

The library (gerbonara 1.5.0) reads objects and evaluates macros; shapely merges what it found, in the plain
way: no grid, no clusters, no closed forms. It is asked only for what it is right about: apertures C R O P,
macro primitives 1, 4, 20 and 21, straight strokes and arcs with a round aperture, regions, polarity, both
units; no step and repeat, no LM LR LS, no blocks, and no turned P (it takes degrees for radians).
"""

from functools import cache, reduce
from typing import Any

import numpy as np
import pytest
import shapely
from gerbonara import MM, GerberFile
from gerbonara import graphic_primitives as made
from shapely.affinity import rotate, translate

from pastecheck.openings import SLIVER_MM, SLIVER_MM2, GeometryArray, Openings
from pastecheck.units import NM_PER_MM
from tests.drawn import areas_mm2, cut_text

LAYERS = 40
SAME_AREA = 5e-4
"""Part of the area: circles of the reference have 256 chords, which takes away 1e-4."""
QUARTER = 64

each_layer = pytest.mark.parametrize("seed", range(LAYERS))


class Pen:
    """Writes random statements. Places are in nanometres: nothing is tangent by chance."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng([1500, seed])
        self.inches = bool(seed % 2)
        self.lines = [
            "%FSLAX26Y26*%" if self.inches else "%FSLAX46Y46*%",
            "%MOIN*%" if self.inches else "%MOMM*%",
            "G75*",
        ]
        self.code = 9

    def between(self, low_mm: float, high_mm: float) -> float:
        """A length in the unit of the file."""
        return float(self.random.uniform(low_mm, high_mm)) / (25.4 if self.inches else 1.0)

    def size(self, low_mm: float = 0.3, high_mm: float = 2.0) -> str:
        return f"{self.between(low_mm, high_mm):.6f}"

    def at(self, x: float, y: float, names: str = "XY") -> str:
        return f"{names[0]}{round(x * 1e6)}{names[1]}{round(y * 1e6)}"

    def place(self) -> tuple[float, float]:
        return self.between(-6, 6), self.between(-6, 6)

    def turn(self) -> str:
        return f"{self.random.uniform(-180, 180):.3f}"

    def aperture(self, definition: str) -> None:
        self.code += 1
        self.lines += [f"%ADD{self.code}{definition}*%", f"D{self.code}*"]

    def standard(self) -> None:
        sizes = {
            "C": self.size(),
            "R": f"{self.size()}X{self.size()}",
            "O": f"{self.size()}X{self.size()}",
            "P": f"{self.size()}X{self.random.integers(3, 9)}",
        }
        template = str(self.random.choice(list(sizes)))
        self.aperture(f"{template},{sizes[template]}")
        self.lines += [f"{self.at(*self.place())}D03*" for _ in range(3)]

    def macro(self) -> None:
        """Two to four primitives about the origin, one of them sometimes cut away; one size comes by $1."""
        near = self.size(-0.5, 0.5), self.size(-0.5, 0.5)
        far = self.size(0.6, 1.5), self.size(-1.0, 1.0)
        ring = [(self.size(0.1, 0.6), "0"), ("0", self.size(0.1, 0.6)), (f"-{self.size(0.1, 0.6)}", "0")]
        corners = ",".join(f"{x},{y}" for x, y in [*ring, ring[0]])
        primitives = [
            f"1,1,$1,{near[0]},{near[1]},{self.turn()}",
            f"4,1,3,{corners},{self.turn()}",
            f"20,1,{self.size(0.2, 0.6)},0,0,{far[0]},{far[1]},{self.turn()}",
            f"21,1,$1x0.5,{self.size(0.2, 0.9)},{near[0]},{near[1]},{self.turn()}",
        ]
        chosen = [primitives[k] for k in self.random.permutation(4)[: self.random.integers(2, 5)]]
        if self.random.random() < 0.3:
            chosen.append(f"1,0,{self.size(0.1, 0.3)},0,0")
        name = f"M{self.code}"
        self.lines.append(f"%AM{name}*" + "*\n".join(chosen) + "*%")
        self.aperture(f"{name},{self.size(0.4, 1.0)}")
        self.lines += [f"{self.at(*self.place())}D03*" for _ in range(2)]

    def stroke(self) -> None:
        self.aperture(f"C,{self.size(0.15, 0.6)}")
        self.lines += [f"{self.at(*self.place())}D02*", f"G01{self.at(*self.place())}D01*"]

    def arc(self) -> None:
        self.aperture(f"C,{self.size(0.15, 0.4)}")
        self.lines += self.arc_from(*self.place())

    def arc_from(self, x: float, y: float) -> list[str]:
        radius, begin, sweep = self.between(0.5, 1.5), *self.random.uniform(0.5, 5.5, 2)
        way = 1 if self.random.random() < 0.5 else -1
        i, j = -radius * np.cos(begin), -radius * np.sin(begin)
        end = begin + way * sweep
        there = self.at(x + i + radius * np.cos(end), y + j + radius * np.sin(end))
        return [
            f"{self.at(x, y)}D02*",
            f"{'G03' if way > 0 else 'G02'}{there}{self.at(i, j, 'IJ')}D01*",
        ]

    def region(self) -> None:
        """A sector of a disc or a star-shaped polygon."""
        x, y = self.place()
        if self.random.random() < 0.5:
            start, swept = self.arc_from(x, y)
            self.lines += ["G36*", start, swept, f"G01{self.at(x, y)}D01*", "G37*"]
            return
        angles = np.sort(self.random.uniform(0, 2 * np.pi, 6))
        reach = [self.between(0.4, 1.2) for _ in angles]
        corners = [self.at(x + r * np.cos(a), y + r * np.sin(a)) for r, a in zip(reach, angles, strict=True)]
        edges = [f"G01{corner}D01*" for corner in (*corners[1:], corners[0])]
        self.lines += ["G36*", f"{corners[0]}D02*", *edges, "G37*"]

    def text(self) -> str:
        things = (self.standard, self.macro, self.stroke, self.arc, self.region)
        for _ in range(14):
            things[self.random.integers(len(things))]()
            if self.random.random() < 0.25:
                self.lines.append(str(self.random.choice(["%LPC*%", "%LPD*%"])))
        return "\n".join([*self.lines, "%LPD*%", *self.last(), "M02*", ""])

    def last(self) -> list[str]:
        """Something dark that nothing clears, so that there always is an opening."""
        return [
            f"%ADD{self.code + 1}C,{self.size()}*%",
            f"D{self.code + 1}*",
            f"{self.at(*self.place())}D03*",
        ]


@cache
def text_of(seed: int) -> str:
    return Pen(seed).text()


@cache
def reference(seed: int) -> shapely.Geometry:
    """What the layer leaves open, by the library and plain unions and differences."""
    image: shapely.Geometry = shapely.Polygon()
    for drawn in GerberFile.from_string(text_of(seed)).objects:
        image = composed(image, object_of(drawn), dark=drawn.polarity_dark)
    return image


def composed(image: shapely.Geometry, added: shapely.Geometry, *, dark: bool) -> shapely.Geometry:
    return shapely.union(image, added) if dark else shapely.difference(image, added)


def object_of(drawn: Any) -> shapely.Geometry:  # noqa: ANN401 -- the library has no types
    """One object; primitives of a macro that are not exposed are cut from it, not from what lies below."""
    pieces = [
        (outline(piece), piece.polarity_dark == drawn.polarity_dark) for piece in drawn.to_primitives(MM)
    ]
    nothing: shapely.Geometry = shapely.Polygon()
    return reduce(lambda image, piece: composed(image, piece[0], dark=piece[1]), pieces, nothing)


def outline(piece: Any) -> shapely.Geometry:  # noqa: ANN401 -- as above
    match piece:
        case made.Circle():
            return shapely.Point(piece.x, piece.y).buffer(piece.r, QUARTER)
        case made.Rectangle():
            x, y = piece.x, piece.y
            box = shapely.box(x - piece.w / 2, y - piece.h / 2, x + piece.w / 2, y + piece.h / 2)
            turned: shapely.Geometry = rotate(box, piece.rotation, origin=(x, y), use_radians=True)
            return turned
        case made.Line():
            path = shapely.LineString([(piece.x1, piece.y1), (piece.x2, piece.y2)])
            return path.buffer(piece.width / 2, QUARTER)
        case made.Arc():
            ends = (piece.x1, piece.y1), (piece.x2, piece.y2)
            points = arc_points(*ends, (piece.cx, piece.cy), clockwise=piece.clockwise)
            return shapely.LineString(points).buffer(piece.width / 2, QUARTER)
        case made.ArcPoly():
            return shapely.make_valid(shapely.Polygon(ring_of(piece)))
    raise TypeError(piece)


Point = tuple[float, float]


def ring_of(piece: Any) -> list[Point]:  # noqa: ANN401 -- as above
    points: list[Point] = []
    for begin, end, (clockwise, centre) in piece.segments:
        curved = clockwise is not None
        points += arc_points(begin, end, centre, clockwise=clockwise)[:-1] if curved else [begin]
    return points


def arc_points(begin: Point, end: Point, centre: Point, *, clockwise: bool) -> list[Point]:
    """256 chords, whatever the angle."""
    first = np.arctan2(begin[1] - centre[1], begin[0] - centre[0])
    last = np.arctan2(end[1] - centre[1], end[0] - centre[0])
    sweep = -((first - last) % (2 * np.pi)) if clockwise else (last - first) % (2 * np.pi)
    radius = np.hypot(begin[0] - centre[0], begin[1] - centre[1])
    angle = first + np.linspace(0, 1, 257) * sweep
    x, y = centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)
    return list(zip(x.tolist(), y.tolist(), strict=True))


def parts_of(image: shapely.Geometry) -> GeometryArray:
    """Parts that are no slivers by the project's rule: area, or narrower everywhere than a width."""
    parts = shapely.get_parts(image)
    parts = parts[shapely.area(parts) >= SLIVER_MM2]
    return np.asarray(parts[~shapely.is_empty(shapely.buffer(parts, -SLIVER_MM / 2))], dtype=object)


@cache
def openings_of(seed: int) -> Openings:
    return cut_text(text_of(seed))


@each_layer
def test_a_random_layer_has_the_area_of_the_reference(seed: int) -> None:
    expected = shapely.area(parts_of(reference(seed))).sum()
    assert areas_mm2(openings_of(seed)).sum() == pytest.approx(expected, rel=SAME_AREA)


@each_layer
def test_a_random_layer_has_as_many_openings_as_the_reference_has_parts(seed: int) -> None:
    assert len(openings_of(seed)) == len(parts_of(reference(seed)))


@each_layer
def test_a_random_layer_covers_the_place_of_the_reference(seed: int) -> None:
    # So parts of the right size elsewhere do not pass.
    openings, expected = openings_of(seed), shapely.union_all(parts_of(reference(seed)))
    outlines = openings.shapes.outline[openings.shape].tolist()
    x_mm, y_mm = (openings.x_nm / NM_PER_MM).tolist(), (openings.y_nm / NM_PER_MM).tolist()
    found = shapely.union_all([translate(*placed) for placed in zip(outlines, x_mm, y_mm, strict=True)])
    assert shapely.area(shapely.symmetric_difference(found, expected)) < SAME_AREA * shapely.area(expected)


def test_the_layers_are_as_varied_as_they_claim() -> None:
    text = "".join(text_of(seed) for seed in range(LAYERS))
    for statement in ("%LPC*%", "G36*", "G02", "G03", "%AM", "\n20,1,", "*4,1,", "%MOIN*%", "%MOMM*%"):
        assert text.count(statement) > 10, statement
