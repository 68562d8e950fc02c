"""Distinct outlines as path data of SVG: in whole steps of 0.1 um, y upward, each from where it begins."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.facing import are_convex
from pastecheck.openings import Shapes
from pastecheck.pictures.curves import from_longest_side, pieces_of
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]
TextArray = NDArray[np.object_]

STEP_NM: Final = 100
"""Paths are drawn in steps of 0.1 um: at least as fine as curves are flattened, and short to write."""
STEPS_PER_MM: Final = NM_PER_MM // STEP_NM
LOOSE_MM: Final = 5e-4
"""
How far what is drawn can be from the outline: 0.1 um where curves were flattened, 0.2 um where pieces
take the place of many vertices, and 0.14 um for rounding outline and place to steps.
"""
_STRAIGHTENED_MM: Final = 2e-4
_MANY_VERTICES: Final = 24
"""Outlines of fewer vertices are drawn as they are; what has more has flattened curves."""
_MOST_CURVED: Final = 50_000
"""In outlines of so many vertices arcs are looked for, which takes 0.1 ms each."""
_MOST_STRAIGHTENED: Final = 100_000
"""Of others vertices are left out that are of no matter, unless they are so many that it takes very long."""
_MOST_TURN: Final = 1.7
"""Arcs of more than so many radians are drawn in two: a half turn between rounded ends could bulge."""


class Paths(NamedTuple):
    """Outlines as text. Shape (s,)."""

    begin: IntArray
    """Where each begins, in steps from its own origin. Shape (s, 2)."""
    end: IntArray
    """Where the pen is afterwards. Shape (s, 2)."""
    text: TextArray
    """Path data that is to follow a move to the begin."""

    def put(self, rows: "IntArray | BoolArray", paths: "Paths") -> None:
        """Write paths to these rows."""
        for column, values in zip(self, paths, strict=True):
            column[rows] = values


def paths_of_shapes(shapes: Shapes, rows: IntArray, count: IntArray) -> Paths:
    """
    Paths of some distinct shapes: arcs where a core and a radius say so, or where there were arcs.

    Args:
        shapes: Distinct outlines.
        rows: Rows of the table. Shape (k,).
        count: How often each is drawn: those that make a picture long are shortened first. Shape (k,).

    Returns:
        Shape (k,). What they enclose lies within `LOOSE_MM` of the outlines.
    """
    core, radius_mm = shapes.core[rows], shapes.radius_mm[rows]
    is_round = radius_mm > 0
    is_round[is_round] = are_convex(core[is_round])
    paths = _no_paths(len(rows))
    paths.put(is_round, _rounded(core[is_round], radius_mm[is_round]))
    paths.put(~is_round, paths_of_polygons(shapes.outline[rows[~is_round]], count[~is_round]))
    return paths


def paths_of_polygons(polygons: GeometryArray, count: IntArray) -> Paths:
    """
    Paths of polygons with holes; arguments and bound as of `paths_of_shapes`.

    Outer rings run counter-clockwise and holes clockwise, so that either rule of filling shows the same.
    """
    vertices = shapely.get_num_coordinates(polygons)
    is_curved = vertices > _MANY_VERTICES
    first = np.argsort(-(vertices * count), kind="stable")
    has_arcs = np.zeros(len(polygons), bool)
    has_arcs[first] = np.cumsum(np.where(is_curved, vertices, 0)[first]) <= _MOST_CURVED
    has_arcs &= is_curved
    drawn = shapely.orient_polygons(polygons)
    straight = is_curved & ~has_arcs & (vertices <= _MOST_STRAIGHTENED)
    drawn[straight] = shapely.simplify(drawn[straight], _STRAIGHTENED_MM)
    rings, owner = shapely.get_rings(drawn, return_index=True)
    paths = _no_paths(len(polygons))
    last = -1
    for ring, polygon in zip(rings.tolist(), owner.tolist(), strict=True):
        place = shapely.get_coordinates(ring) * STEPS_PER_MM
        begin, text = _curved(from_longest_side(place)) if has_arcs[polygon] else _straight(place)
        if polygon != last:
            paths.begin[polygon] = begin
        else:  # from one ring to the next of the same polygon
            paths.text[polygon] += f"m{_pair(*(begin - paths.end[polygon]).tolist())}"
        paths.text[polygon] += f"{text}z"
        paths.end[polygon] = begin
        last = polygon
    return paths


def discs(radius_mm: FloatArray) -> Paths:
    """Discs about their origins. Shape (s,)."""
    paths = _no_paths(len(radius_mm))
    for row, radius in enumerate(radius_mm.tolist()):
        paths.begin[row], paths.text[row] = _circle(np.zeros(2), radius)
    paths.end[:] = paths.begin
    return paths


def diamonds(radius_mm: FloatArray) -> Paths:
    """Squares about their origins that stand on a corner, so far from the middle. Shape (s,)."""
    paths = _no_paths(len(radius_mm))
    for row, radius in enumerate(np.rint(radius_mm * STEPS_PER_MM).astype(np.int64).tolist()):
        paths.begin[row] = -radius, 0
        paths.text[row] = f"{_lines([[radius, -radius], [radius, radius], [-radius, radius]])}z"
    paths.end[:] = paths.begin
    return paths


def _straight(ring: FloatArray) -> tuple[IntArray, str]:
    """Where a closed ring of sides begins, in steps, and its path from there."""
    points = _rounded_to_steps(ring)
    steps = np.diff(points, axis=0)[:-1]
    return points[0], _lines(steps[(steps != 0).any(axis=1)].tolist())


def _curved(ring: FloatArray) -> tuple[IntArray, str]:
    """The same of a ring of many short sides: in arcs and lines."""
    points = _rounded_to_steps(ring)
    text, lines, pen = "", list[list[int]](), points[0]
    for end, radius in pieces_of(ring, _STRAIGHTENED_MM * STEPS_PER_MM):
        step = (points[end] - pen).tolist()
        pen = points[end]
        if not any(step):
            continue
        if radius:
            size = _short(abs(radius))
            text += f"{_lines(lines)}a{size} {size} 0 0 {int(radius > 0)} {_pair(*step)}"
            lines = []
        else:
            lines.append(step)
    return points[0], text + _lines(lines)


def _no_paths(count: int) -> Paths:
    begin = np.zeros((count, 2), np.int64)
    return Paths(begin, begin.copy(), np.full(count, "", dtype=object))


def _in_steps(place_mm: FloatArray) -> IntArray:
    return _rounded_to_steps(place_mm * STEPS_PER_MM)


def _rounded_to_steps(place: FloatArray) -> IntArray:
    steps: IntArray = np.rint(place).astype(np.int64)
    return steps


def _lines(steps: list[list[int]]) -> str:
    """Straight pieces one after the other, as short as they can be written."""
    pieces: list[str] = []
    is_going_on = False
    for x, y in steps:
        if not y:
            pieces.append(f"h{x}")
        elif not x:
            pieces.append(f"v{y}")
        elif is_going_on:
            pieces.append(_pair(x, y) if x < 0 else f" {_pair(x, y)}")
        else:
            pieces.append(f"l{_pair(x, y)}")
        is_going_on = bool(x and y)
    return "".join(pieces)


def _pair(x: int, y: int) -> str:
    """Two numbers; a sign parts them as well as a space does."""
    return f"{x}{y}" if y < 0 else f"{x} {y}"


def _rounded(core: GeometryArray, radius_mm: FloatArray) -> Paths:
    """What lies within a radius of points, lines and convex polygons."""
    paths = _no_paths(len(core))
    for row, (each, radius) in enumerate(zip(core.tolist(), radius_mm.tolist(), strict=True)):
        if each.geom_type == "Point":
            begin, text = _circle(np.array([each.x, each.y]), radius)
        else:
            corner_mm = shapely.get_coordinates(shapely.orient_polygons(each) if _is_flat(each) else each)
            begin, text = _about(corner_mm[:-1] if _is_flat(each) else corner_mm, radius)
        paths.begin[row] = paths.end[row] = begin
        paths.text[row] = text
    return paths


def _is_flat(geometry: shapely.Geometry) -> bool:
    return bool(shapely.get_dimensions(geometry) == 2)


def _circle(middle_mm: FloatArray, radius_mm: float) -> tuple[IntArray, str]:
    radius = round(radius_mm * STEPS_PER_MM)
    begin = _in_steps(middle_mm) - np.array([radius, 0])
    half = f"a{radius} {radius} 0 0 1"
    return begin, f"{half} {2 * radius} 0{half}{-2 * radius} 0z"


def _about(corner_mm: FloatArray, radius_mm: float) -> tuple[IntArray, str]:
    """What lies within a radius of a convex polygon, counter-clockwise; two corners are those of a line."""
    side = np.roll(corner_mm, -1, axis=0) - corner_mm
    outward = np.arctan2(-side[:, 0], side[:, 1])  # a quarter turn to the right of each side
    radius = _short(radius_mm * STEPS_PER_MM)
    pen = begin = _in_steps(corner_mm[0] + radius_mm * _unit(outward[0]))
    pieces = []
    for row in range(len(corner_mm)):
        at = corner_mm[(row + 1) % len(corner_mm)]
        first, last = float(outward[row]), float(outward[(row + 1) % len(corner_mm)])
        turn = (last - first) % (2 * np.pi)
        to = _in_steps(at + radius_mm * _unit(first))
        pieces.append(_lines([step]) if any(step := (to - pen).tolist()) else "")
        pen = to
        for part in (0.5, 1.0) if turn > _MOST_TURN else (1.0,):
            to = _in_steps(at + radius_mm * _unit(first + part * turn))
            x, y = (to - pen).tolist()
            if x or y:
                pieces.append(f"a{radius} {radius} 0 0 1 {_pair(x, y)}")
            pen = to
    return begin, f"{''.join(pieces)}z"


def _unit(direction_rad: float) -> FloatArray:
    return np.array([np.cos(direction_rad), np.sin(direction_rad)])


def _short(value: float) -> str:
    """
    A number to a tenth.

    Example:
        >>> _short(1250.0), _short(12.34)
        ('1250', '12.3')
    """
    return f"{value:.1f}".removesuffix(".0")
