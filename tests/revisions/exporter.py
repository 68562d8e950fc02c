"""
Layers exported anew by other means: read by gerbonara 1.5.0 (Python, Apache-2.0), and written here as text.

Nothing of our own reader is in it. The picture stays the same; all else does not: units, order, apertures,
the way in which things are drawn, and the origin. Components keep their names, as `.C` of X2 tells them.
"""

import math
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from gerbonara import MM, GerberFile
from gerbonara import graphic_objects as drawn
from gerbonara import graphic_primitives as made

Point = tuple[float, float]
Edge = tuple[Point, Point | None]
"""To where, and round which centre, counter-clockwise; None along a straight line."""


_ATTRIBUTE_IN_COMMENT = re.compile(r"G04 #@! (T[OD][^*]*)\*")
"""As files for old machines have them; the library takes them for comments."""


class CannotExportError(Exception):
    """The picture has something that this exporter does not write."""


@dataclass
class Style:
    """How a layer is written."""

    inches: bool = False
    decimals: int = 6
    dx_mm: float = 0.0
    dy_mm: float = 0.0
    as_regions: bool = False
    """Flashes drawn as regions."""
    backwards: bool = False
    """Last drawn first; only of layers that clear nothing."""


@dataclass
class _Paper:
    """Text of a layer, as it grows."""

    style: Style
    lines: list[str] = field(default_factory=list)
    codes: dict[str, int] = field(default_factory=dict)
    apertures: list[str] = field(default_factory=list)

    def number(self, length_mm: float) -> int:
        scale = float(10**self.style.decimals) / (25.4 if self.style.inches else 1.0)
        return round(length_mm * scale)

    def size(self, length_mm: float) -> str:
        length = length_mm / (25.4 if self.style.inches else 1.0)
        return f"{length:.{self.style.decimals}f}"

    def at(self, point: Point) -> str:
        x, y = self.number(point[0] + self.style.dx_mm), self.number(point[1] + self.style.dy_mm)
        return f"X{x}Y{y}"

    def select(self, template: str, *sizes_mm: float) -> None:
        name = f"{template},{'X'.join(map(self.size, sizes_mm))}"
        if name not in self.codes:
            self.codes[name] = 100 + 3 * len(self.codes)  # no numbers that anybody else would give
            self.apertures.append(f"%ADD{self.codes[name]}{name}*%")
        self.lines.append(f"D{self.codes[name]}*")

    def edge(self, begin: Point, edge: Edge, *, clockwise: bool = False) -> None:
        end, centre = edge
        if centre is None:
            self.lines.append(f"G01{self.at(end)}D01*")
            return
        offset = self.number(centre[0] + self.style.dx_mm) - self.number(begin[0] + self.style.dx_mm)
        other = self.number(centre[1] + self.style.dy_mm) - self.number(begin[1] + self.style.dy_mm)
        self.lines.append(f"G0{2 if clockwise else 3}{self.at(end)}I{offset}J{other}D01*")

    def contour(self, begin: Point, edges: list[Edge]) -> None:
        self.lines += ["G36*", f"{self.at(begin)}D02*"]
        for edge in edges:
            self.edge(begin, edge)
            begin = edge[0]
        self.lines.append("G37*")


def exported(content: bytes, style: Style, function: str) -> str:
    """
    A layer written anew.

    Raises:
        CannotExportError: If it has something that is not written here.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it remarks on whatever is deprecated
        text = _ATTRIBUTE_IN_COMMENT.sub(r"%\1*%", content.decode("utf-8", "replace"))
        objects = list(GerberFile.from_string(text).objects)
    if style.backwards:
        if not all(one.polarity_dark for one in objects):
            raise CannotExportError("order matters")
        objects.reverse()
    paper = _Paper(style)
    of_regions = _labels_of_regions(text)
    if style.backwards:
        of_regions.reverse()
    if any(of_regions) and len(of_regions) != sum(isinstance(one, drawn.Region) for one in objects):
        raise CannotExportError("regions that cannot be told apart")
    for one in objects:
        paper.lines.append("%LPD*%" if one.polarity_dark else "%LPC*%")
        is_named = any(of_regions) and isinstance(one, drawn.Region)
        label = of_regions.pop(0) if is_named else _label(one)
        paper.lines += [f"%TO.C,{label}*%"] if label else []
        _write(paper, one)
        paper.lines += ["%TD*%"] if label else []
    unit = "%MOIN*%" if style.inches else "%MOMM*%"
    digits = f"4{style.decimals}"
    head = [f"%TF.FileFunction,{function}*%", f"%FSLAX{digits}Y{digits}*%", unit, "G75*"]
    return "\n".join([*head, *paper.apertures, *paper.lines, "M02*", ""])


def _labels_of_regions(text: str) -> list[str]:
    """The component of each contour, which the library does not keep: from the text itself."""
    labels, label, is_region = [], "", False
    for statement in re.findall(r"[^*%]+", text):
        said = statement.strip()
        if found := re.match(r"TO\.C,([^,]*)", said):
            label = found[1]
        elif said in {"TD", "TD.C"}:
            label = ""
        elif said == "G36":
            is_region = True
        elif said == "G37":
            is_region = False
        elif is_region and said.endswith(("D02", "D2")):
            labels.append(label)
    return labels


def _label(one: Any) -> str:  # noqa: ANN401 -- the library has no types
    attributes = getattr(one, "attrs", None)
    value = attributes.get(".C") or attributes.get("C") if isinstance(attributes, dict) else None
    return value if isinstance(value, str) else value[0] if value else ""


def _write(paper: _Paper, one: Any) -> None:  # noqa: ANN401 -- as above
    if isinstance(one, drawn.Flash):
        pieces = list(one.to_primitives(MM))
        if not all(piece.polarity_dark == one.polarity_dark for piece in pieces):
            raise CannotExportError("an aperture with a hole")
        for piece in pieces:
            _write_flashed(paper, piece)
        return
    if isinstance(one, drawn.Region):
        for piece in one.to_primitives(MM):
            _write_contour(paper, piece)
        return
    for piece in one.to_primitives(MM):
        _write_stroke(paper, piece)


def _write_flashed(paper: _Paper, piece: Any) -> None:  # noqa: ANN401 -- as above
    """As a flash of an aperture of our own, or as a region."""
    is_upright = isinstance(piece, made.Rectangle) and abs(math.sin(2 * piece.rotation)) < 1e-9
    if paper.style.as_regions or not (isinstance(piece, made.Circle) or is_upright):
        _write_contour(paper, piece)
    elif isinstance(piece, made.Circle):
        paper.select("C", 2 * piece.r)
        paper.lines.append(f"{paper.at((piece.x, piece.y))}D03*")
    else:
        lies = abs(math.sin(piece.rotation)) < 0.5
        paper.select("R", *((piece.w, piece.h) if lies else (piece.h, piece.w)))
        paper.lines.append(f"{paper.at((piece.x, piece.y))}D03*")


def _write_contour(paper: _Paper, piece: Any) -> None:  # noqa: ANN401 -- as above
    match piece:
        case made.Line() if (piece.x1, piece.y1) == (piece.x2, piece.y2):
            _write_contour(paper, made.Circle(piece.x1, piece.y1, piece.width / 2))
        case made.Circle():
            left, right, centre = (
                (piece.x - piece.r, piece.y),
                (piece.x + piece.r, piece.y),
                (piece.x, piece.y),
            )
            paper.contour(left, [(right, centre), (left, centre)])
        case made.Rectangle():
            turned = list(_corners(piece))
            paper.contour(turned[0], [(corner, None) for corner in (*turned[1:], turned[0])])
        case made.Line():
            paper.contour(*_bar((piece.x1, piece.y1), (piece.x2, piece.y2), piece.width / 2))
        case made.ArcPoly():
            segments = list(piece.segments)
            paper.lines += ["G36*", f"{paper.at(segments[0][0])}D02*"]
            for begin, end, (clockwise, centre) in segments:
                edge = (end, None if clockwise is None else centre)
                paper.edge(begin, edge, clockwise=bool(clockwise))
            paper.lines.append("G37*")
        case _:
            raise CannotExportError(type(piece).__name__)


def _corners(piece: Any) -> Iterator[Point]:  # noqa: ANN401 -- as above
    cosine, sine = math.cos(piece.rotation), math.sin(piece.rotation)
    for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        x, y = i * piece.w / 2, j * piece.h / 2
        yield piece.x + cosine * x - sine * y, piece.y + sine * x + cosine * y


def _bar(one: Point, two: Point, radius: float) -> tuple[Point, list[Edge]]:
    """The outline of an obround, counter-clockwise."""
    length = math.dist(one, two)
    nx, ny = (one[1] - two[1]) / length * radius, (two[0] - one[0]) / length * radius
    right, other_right = (one[0] - nx, one[1] - ny), (two[0] - nx, two[1] - ny)
    left, other_left = (one[0] + nx, one[1] + ny), (two[0] + nx, two[1] + ny)
    return right, [(other_right, None), (other_left, two), (left, None), (right, one)]


def _write_stroke(paper: _Paper, piece: Any) -> None:  # noqa: ANN401 -- as above
    match piece:
        case made.Line():
            paper.select("C", piece.width)
            paper.lines.append(f"{paper.at((piece.x1, piece.y1))}D02*")
            paper.edge((piece.x1, piece.y1), ((piece.x2, piece.y2), None))
        case made.Arc():
            paper.select("C", piece.width)
            paper.lines.append(f"{paper.at((piece.x1, piece.y1))}D02*")
            edge = ((piece.x2, piece.y2), (piece.cx, piece.cy))
            paper.edge((piece.x1, piece.y1), edge, clockwise=piece.clockwise)
        case _:
            raise CannotExportError(type(piece).__name__)
