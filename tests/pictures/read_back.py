"""Pictures read by a library that is not ours: what their outlines enclose, on paper, in millimetres."""

import io
import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
import svgelements

from pastecheck.drawing import FloatArray

MM_PER_INCH = 25.4
_SAMPLES = 64
"""Points of a quarter turn: with a radius of 1 mm chords are 75 nm off, which is passed on to who asks."""


class Drawn(NamedTuple):
    """A path of a picture, on paper: from the upper left corner, y downward."""

    names: tuple[str, ...]
    """Its classes."""
    opening: int
    """Row that it is said to be of, from 1; 0 where none is said."""
    path: svgelements.Path

    @property
    def area_mm2(self) -> float:
        """What its rings enclose, those that run the other way being holes; arcs in closed form."""
        twice = 0.0
        for piece in self.path:
            if isinstance(piece, svgelements.Move):
                continue
            begin, end = piece.start, piece.end
            twice += begin.x * end.y - end.x * begin.y
            if isinstance(piece, svgelements.Arc):
                radius, turn = piece.rx, piece.sweep
                assert math.isclose(piece.rx, piece.ry)
                twice += radius**2 * (turn - math.sin(turn))
        return abs(twice) / 2

    def rings(self) -> Iterator[FloatArray]:
        """Points of each ring, arcs sampled."""
        for ring in self.path.as_subpaths():
            points: list[tuple[float, float]] = []
            for piece in ring:
                if isinstance(piece, svgelements.Arc):
                    at = np.linspace(0, 1, max(2, math.ceil(abs(piece.sweep) / (np.pi / 2) * _SAMPLES)))
                    points += [(point.x, point.y) for point in map(piece.point, at[1:].tolist())]
                elif piece.end is not None:
                    points.append((piece.end.x, piece.end.y))
            yield np.array(points)

    def polygons(self) -> shapely.Geometry:
        """What it fills by the even-odd rule."""
        filled: shapely.Geometry = shapely.Polygon()
        for ring in self.rings():
            filled = shapely.symmetric_difference(filled, shapely.Polygon(ring))
        return filled


def paths_of(svg: str) -> list[Drawn]:
    """All paths of a document that has its size in millimetres, in order."""
    document = svgelements.SVG.parse(io.StringIO(svg), ppi=MM_PER_INCH, reify=True)
    return [
        Drawn(
            tuple(element.values.get("class", "").split()),
            int(element.values.get("data-opening", 0)),
            element,
        )
        for element in document.elements()
        if isinstance(element, svgelements.Path)
    ]


def outlines_of(svg: str) -> list[Drawn]:
    """The paths of openings."""
    return [path for path in paths_of(svg) if "outlines" in path.names]


def size_mm(svg: str) -> tuple[float, float]:
    """Of the document on paper."""
    document = svgelements.SVG.parse(io.StringIO(svg), ppi=MM_PER_INCH)
    return document.width, document.height
