"""Layers made by hypothesis from things that can be told in millimetres and in inches, turned and moved."""

from dataclasses import dataclass, replace
from typing import Final

from hypothesis import strategies as st

NM_PER_MIL: Final = 25_400
"""Things lie on whole mils: these are whole nanometres, so both units say them without rounding."""

CIRCLE, RECTANGLE, OBROUND, POLYGON, STROKE, REGION = "C", "R", "O", "P", "stroke", "region"

Point = tuple[int, int]


@dataclass(frozen=True)
class Thing:
    """A flash, a stroke or a region, in mils."""

    kind: str
    size: tuple[int, ...]
    """Diameter; width and height; outer diameter, corners and turn in degrees; diameter of the stroke."""
    place: Point
    path: tuple[Point, ...] = ()
    """From the place to the end of a stroke, or to the further corners of a region."""

    def moved(self, dx: int, dy: int) -> "Thing":
        return replace(self, place=(self.place[0] + dx, self.place[1] + dy))

    def turned(self) -> "Thing":
        """By 90 degrees about (0, 0), counter-clockwise."""
        size = self.size
        if self.kind in {RECTANGLE, OBROUND}:
            size = size[::-1]
        if self.kind == POLYGON:
            size = (size[0], size[1], size[2] + 90)
        return Thing(self.kind, size, quarter(self.place), tuple(quarter(point) for point in self.path))


def quarter(point: Point) -> Point:
    return -point[1], point[0]


@dataclass(frozen=True)
class Style:
    """How a layer is written."""

    inches: bool = False
    dx_nm: int = 0
    dy_nm: int = 0
    flashes_as_regions: bool = False
    turn_apertures: bool = False
    """Flash apertures as they are under LR90, where things were not turned themselves."""

    def size(self, mils: int) -> str:
        return f"{mils / 1000:.3f}" if self.inches else f"{mils * NM_PER_MIL / 1e6:.4f}"

    def number(self, half_mils: int, shift_nm: int) -> str:
        """A coordinate in format 2.6 (inches) or 4.6."""
        if self.inches:
            return str(half_mils * 500)
        return str(half_mils * NM_PER_MIL // 2 + shift_nm)

    def at(self, x2: int, y2: int) -> str:
        return f"X{self.number(x2, self.dx_nm)}Y{self.number(y2, self.dy_nm)}"

    def offset(self, i2: int, j2: int) -> str:
        return f"I{self.number(i2, 0)}J{self.number(j2, 0)}"


MM = Style()
INCH = Style(inches=True)


def text_of(statements: list[str], style: Style = MM) -> str:
    """A whole file of statements made by `drawn`."""
    head = ["%FSLAX26Y26*%", "%MOIN*%"] if style.inches else ["%FSLAX46Y46*%", "%MOMM*%"]
    return "\n".join([*head, "G75*", *statements, "M02*", ""])


def layer(things: list[Thing], style: Style = MM) -> str:
    """A file that draws things dark."""
    return text_of(drawn(things, style), style)


def drawn(things: list[Thing], style: Style = MM, first_code: int = 10) -> list[str]:
    """Statements that draw things, each with an aperture of its own."""
    return [line for row, thing in enumerate(things) for line in _drawn(thing, style, first_code + row)]


def _drawn(thing: Thing, style: Style, code: int) -> list[str]:
    x, y = (2 * coordinate for coordinate in thing.place)
    if thing.kind == REGION:
        return _ring([thing.place, *_ends(thing)], style)
    if thing.kind == STROKE:
        ((end_x, end_y),) = _ends(thing)
        select = [f"%ADD{code}C,{style.size(thing.size[0])}*%", f"D{code}*", "G01*"]
        return [*select, f"{style.at(x, y)}D02*", f"{style.at(2 * end_x, 2 * end_y)}D01*"]
    if style.flashes_as_regions and thing.kind in {CIRCLE, RECTANGLE, OBROUND}:
        return _rounded_ring(thing, style)
    sizes = [style.size(size) for size in thing.size]
    if thing.kind == POLYGON:
        sizes = [sizes[0], str(thing.size[1]), str(thing.size[2])]
    flash = [f"D{code}*", f"{style.at(x, y)}D03*"]
    define = f"%ADD{code}{thing.kind},{'X'.join(sizes)}*%"
    return [define, "%LR90*%", *flash, "%LR0*%"] if style.turn_apertures else [define, *flash]


def _ends(thing: Thing) -> list[Point]:
    return [(thing.place[0] + x, thing.place[1] + y) for x, y in thing.path]


def _ring(corners: list[Point], style: Style) -> list[str]:
    points = [style.at(2 * x, 2 * y) for x, y in corners]
    edges = [f"{point}D01*" for point in (*points[1:], points[0])]
    return ["G36*", f"{points[0]}D02*", "G01*", *edges, "G37*"]


def _rounded_ring(thing: Thing, style: Style) -> list[str]:
    """The outline of a circle, a rectangle or an obround, in half mils, counter-clockwise."""
    x, y = (2 * coordinate for coordinate in thing.place)
    w, h = thing.size if len(thing.size) == 2 else thing.size * 2
    r = 0 if thing.kind == RECTANGLE else min(w, h)
    # where each side begins and ends, and the way from there to the centre of the next corner
    sides = (
        ((x - w + r, y - h), (x + w - r, y - h), (0, r)),
        ((x + w, y - h + r), (x + w, y + h - r), (-r, 0)),
        ((x + w - r, y + h), (x - w + r, y + h), (0, -r)),
        ((x - w, y + h - r), (x - w, y - h + r), (r, 0)),
    )
    lines = ["G36*", f"{style.at(*sides[0][0])}D02*"]
    for row, (begin, end, centre) in enumerate(sides):
        if begin != end:
            lines += ["G01*", f"{style.at(*end)}D01*"]
        if r:
            lines += ["G03*", f"{style.at(*sides[(row + 1) % 4][0])}{style.offset(*centre)}D01*"]
    return [*lines, "G37*"]


_PLACES = st.tuples(st.integers(-12, 12), st.integers(-12, 12)).map(lambda p: (5 * p[0], 5 * p[1]))
_SIZES = st.integers(2, 8).map(lambda size: 5 * size)
_STEPS = st.integers(-8, 8).map(lambda step: 5 * step)


@st.composite
def things(
    draw: st.DrawFn, kinds: tuple[str, ...] = (CIRCLE, RECTANGLE, OBROUND, POLYGON, STROKE, REGION)
) -> Thing:
    """A thing of 10 to 40 mil on places of whole 5 mil, so that things often meet, abut or are tangent."""
    kind, place = draw(st.sampled_from(kinds)), draw(_PLACES)
    if kind == CIRCLE:
        return Thing(kind, (draw(_SIZES),), place)
    if kind in {RECTANGLE, OBROUND}:
        return Thing(kind, (draw(_SIZES), draw(_SIZES)), place)
    if kind == POLYGON:
        return Thing(kind, (draw(_SIZES), draw(st.integers(3, 8)), draw(st.integers(0, 89))), place)
    if kind == STROKE:
        return Thing(kind, (draw(_SIZES),), place, (draw(st.tuples(_STEPS, _STEPS)),))
    # an L, a right-angled triangle or a rectangle, one corner at the place
    w, h = draw(_SIZES), draw(_SIZES)
    arm = 5
    corners = draw(
        st.sampled_from(
            (((w, 0), (w, h), (0, h)), ((w, 0), (0, h)), ((w, 0), (w, arm), (arm, arm), (arm, h), (0, h)))
        )
    )
    return Thing(kind, (), place, corners)


def layers(
    kinds: tuple[str, ...] = (CIRCLE, RECTANGLE, OBROUND, POLYGON, STROKE, REGION),
) -> st.SearchStrategy[list[Thing]]:
    """One to a dozen things."""
    return st.lists(things(kinds), min_size=1, max_size=12)
