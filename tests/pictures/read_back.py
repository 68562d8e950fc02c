"""Pictures read by a library that is not ours: what their outlines enclose, in millimetres."""

import io
import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import shapely
import svgelements

from pastecheck.drawing import FloatArray
from pastecheck.pictures import Picture

MM_PER_INCH = 25.4
_SAMPLES = 64
"""Points of a quarter turn."""
_HALF_MM = 100


class Drawn(NamedTuple):
    """A path of a picture, where it lies on paper, y downward."""

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
                assert math.isclose(piece.rx, piece.ry)
                twice += piece.rx * piece.ry * (piece.sweep - math.sin(piece.sweep))
        return abs(twice) / 2

    def rings(self) -> Iterator[FloatArray]:
        """Points of each ring, arcs sampled; in coordinates of the layer if `read` read the picture."""
        for ring in self.path.as_subpaths():
            points: list[tuple[float, float]] = []
            for piece in ring:
                if isinstance(piece, svgelements.Arc):
                    at = np.linspace(0, 1, max(2, math.ceil(abs(piece.sweep) / (np.pi / 2) * _SAMPLES)))
                    points += [(point.x, point.y) for point in map(piece.point, at[1:].tolist())]
                elif piece.end is not None:
                    points.append((piece.end.x, piece.end.y))
            yield (np.array(points) - _HALF_MM) * np.array([1, -1])

    def polygons(self) -> shapely.MultiPolygon:
        """What it fills by the even-odd rule, in coordinates of the layer."""
        filled: Any = shapely.MultiPolygon()
        for ring in self.rings():
            # rounding to steps may let the two sides of a thin place cross
            filled = shapely.symmetric_difference(filled, shapely.make_valid(shapely.Polygon(ring)))
        areas = [part for part in shapely.get_parts(filled) if isinstance(part, shapely.Polygon)]
        return shapely.MultiPolygon(areas)


def read(picture: Picture) -> list[Drawn]:
    """All paths of a picture, in order."""
    size, low = 2 * _HALF_MM, -_HALF_MM
    head = f'width="{size}" height="{size}" viewBox="{low} {low} {size} {size}"'
    return paths_of(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{picture.body}</svg>')


def named(paths: list[Drawn], name: str) -> list[Drawn]:
    """Those of a class."""
    return [path for path in paths if name in path.names]


def filled(paths: list[Drawn]) -> shapely.MultiPolygon:
    """What all of them fill."""
    every = shapely.union_all([path.polygons() for path in paths])
    if isinstance(every, shapely.MultiPolygon):
        return every
    assert isinstance(every, shapely.Polygon)
    return shapely.MultiPolygon([every])


def paths_of(svg: str) -> list[Drawn]:
    """
    All paths of a document, in order; of one that has its size in millimetres in those.

    The reader takes an inch for 25.4000005 mm, which is 0.1 um in 200 mm.
    """
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


def size_mm(svg: str) -> tuple[float, float]:
    """Of the document on paper."""
    document = svgelements.SVG.parse(io.StringIO(svg), ppi=MM_PER_INCH)
    return float(document.width), float(document.height)
