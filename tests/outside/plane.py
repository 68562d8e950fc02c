"""Plain geometry for readers that ours is held against: filled outlines, arcs in chords, unions in order."""

from collections.abc import Iterable
from itertools import groupby
from typing import TypeAlias

import numpy as np
import shapely

Point: TypeAlias = tuple[float, float]
Shape: TypeAlias = shapely.Geometry
Object: TypeAlias = tuple[bool, Shape]
"""Whether it is dark, and what it covers, in mm."""

CHORDS = 512
"""For a full turn. They take (2 pi / 512)^2 / 6 = 2.5e-5 of the area of a disc."""

NOTHING: Shape = shapely.Polygon()


def grown(shape: Shape, by: float) -> Shape:
    """All that is within a distance of a shape."""
    result: Shape = shapely.buffer(shape, by, quad_segs=CHORDS // 4)
    return result


def disc(x: float, y: float, radius: float) -> Shape:
    return grown(shapely.Point(x, y), radius) if radius > 0 else NOTHING


def stroked(path: list[Point], width: float) -> Shape:
    """What a round pen draws along a path."""
    line = shapely.LineString(path) if len(set(path)) > 1 else shapely.Point(path[0])
    return grown(line, width / 2) if width > 0 else NOTHING


def filled(points: list[Point]) -> Shape:
    """What a closed outline encloses. It may touch itself, as cut-ins do."""
    if len(points) < 3:
        return NOTHING
    return areas_of(shapely.make_valid(shapely.Polygon(points)))


def areas_of(shape: Shape) -> Shape:
    """Without the lines and points that are left where an outline folds onto itself."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    return shapely.union_all(parts[shapely.get_dimensions(parts) == 2])


def arc_points(begin: Point, end: Point, centre: Point, turn: int) -> list[Point]:
    """Counter-clockwise for a turn of 1, clockwise for -1; a full circle where it ends as it began."""
    (ax, ay), (bx, by) = ((x - centre[0], y - centre[1]) for x, y in (begin, end))
    first, last = np.arctan2(ay, ax), np.arctan2(by, bx)
    sweep = (turn * (last - first)) % (2 * np.pi)
    if begin == end:
        sweep = 2 * np.pi
    share = np.linspace(0, 1, 2 + int(CHORDS * sweep / (2 * np.pi)))
    radius = np.hypot(ax, ay) * (1 - share) + np.hypot(bx, by) * share
    angle = first + turn * sweep * share
    x, y = centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)
    return [begin, *zip(x[1:-1].tolist(), y[1:-1].tolist(), strict=True), end]


def image_of_objects(objects: Iterable[Object]) -> Shape:
    """What is left when each object is added or cut away, in order."""
    image = NOTHING
    for dark, run in groupby(objects, key=lambda one: one[0]):
        shapes = shapely.union_all([shape for _, shape in run])
        image = shapely.union(image, shapes) if dark else shapely.difference(image, shapes)
    return image
