"""
Outlines as vertices: discs, bars, rounded polygons, arcs and contours.

Curves become chords of equal area: the ends of an arc stay where they are, the vertices between are moved
outward until the flattened sector has the area of the true one. So areas of whole arcs are exact, no point
is farther than FLATNESS_MM from the curve, and the length of an arc is short or long by at most
FLATNESS_MM x its angle / 2.
"""

from typing import NamedTuple, cast

import numpy as np
import shapely

from pastecheck.drawing import CodeArray, FloatArray

FLATNESS_MM = 1e-4
"""Largest distance between a curve and its flattened outline."""

_FULL_TURN = 2 * np.pi
_STRAIGHT = 0


class Solid(NamedTuple):
    """Every point within `radius_mm` of a core: a point, a line or a polygon, in mm."""

    core: shapely.Geometry
    radius_mm: float


def convex_core(points_mm: FloatArray) -> shapely.Geometry:
    """The hull of points as a core: a point, a line or a convex polygon, counter-clockwise."""
    hull = shapely.convex_hull(shapely.multipoints(points_mm))
    return cast("shapely.Geometry", shapely.orient_polygons(hull))


def rounded(core: shapely.Geometry, radius_mm: float) -> shapely.Polygon:
    """
    Outline of all points within a radius of a convex core.

    Args:
        core: A point, a line of two points or a convex polygon, counter-clockwise, in mm.
        radius_mm: Not negative.

    Returns:
        A polygon, curves flattened; empty where the core has no area and the radius is 0.
    """
    corner = shapely.get_coordinates(core)
    if shapely.get_dimensions(core) == 2:
        corner = corner[:-1]
    if radius_mm == 0:
        return shapely.Polygon(corner) if len(corner) > 2 else shapely.Polygon()
    if len(corner) == 1:
        return shapely.Polygon(corner + disc(radius_mm))
    side = np.roll(corner, -1, axis=0) - corner
    leaving = np.arctan2(side[:, 1], side[:, 0]) - np.pi / 2
    arriving = np.roll(leaving, 1)
    angle = np.mod(leaving - arriving, _FULL_TURN)
    angle[angle > 1.5 * np.pi] = 0.0  # a corner of a hull turns by at most half: rounding made it negative
    pieces = [
        centre + _arc(radius_mm, begin, sweep)
        for centre, begin, sweep in zip(corner, arriving, angle, strict=True)
    ]
    return shapely.Polygon(np.concatenate(pieces))


def disc(radius_mm: float) -> FloatArray:
    """Vertices of a circle about the origin, counter-clockwise, a multiple of four. Shape (k, 2), in mm."""
    quarter = -(-_steps(radius_mm, _FULL_TURN) // 4)
    angle = np.arange(4 * quarter) * (np.pi / 2 / quarter)
    step = np.pi / 2 / quarter
    grown = radius_mm * np.sqrt(step / np.sin(step))
    vertices: FloatArray = grown * np.column_stack([np.cos(angle), np.sin(angle)])
    return vertices


def stroke_core(end_mm: FloatArray, centre_mm: FloatArray, turn: int) -> FloatArray:
    """Points of a stroke's middle line from (0, 0) to its end, arcs flattened. Shape (k, 2), in mm."""
    if turn == _STRAIGHT:
        return np.array([[0.0, 0.0], end_mm])
    return np.concatenate([_arc_between(np.zeros(2), end_mm, centre_mm, turn), [end_mm]])


def contour(point_mm: FloatArray, centre_mm: FloatArray, turn: CodeArray) -> FloatArray:
    """
    Vertices of a closed contour with its arcs flattened.

    Args:
        point_mm: Corners; edge k leaves point k for the next, the last one for the first. Shape (k, 2).
        centre_mm: Centre of each edge that is an arc. Shape (k, 2).
        turn: 0 straight, 1 counter-clockwise, -1 clockwise, for each edge. Shape (k,).
    """
    following = np.roll(point_mm, -1, axis=0)
    pieces = [
        _arc_between(begin, end, middle, way) if way else begin[None]
        for begin, end, middle, way in zip(point_mm, following, centre_mm, turn.tolist(), strict=True)
    ]
    return np.concatenate(pieces)


def _steps(radius_mm: float, sweep_rad: float) -> int:
    """Chords for an arc: so many that the vertices, moved outward, stay within FLATNESS_MM."""
    # a lone vertex is r (t / sin t - 1) out: r t² / 6, and the flatness added to r covers the higher powers
    step = np.sqrt(6 * FLATNESS_MM / (max(radius_mm, 6 * FLATNESS_MM) + FLATNESS_MM))
    return max(2, int(np.ceil(abs(sweep_rad) / step)))


def _arc(radius_mm: float, begin_rad: float, sweep_rad: float) -> FloatArray:
    """Vertices of an arc about the origin with both its ends. Shape (k, 2)."""
    if sweep_rad == 0:
        return radius_mm * np.array([[np.cos(begin_rad), np.sin(begin_rad)]])
    steps = _steps(radius_mm, sweep_rad)
    angle = begin_rad + np.arange(steps + 1) * (sweep_rad / steps)
    reach = np.full(steps + 1, radius_mm * _outward(steps, abs(sweep_rad) / steps))
    reach[[0, -1]] = radius_mm
    vertices: FloatArray = reach[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return vertices


def _outward(steps: int, step_rad: float) -> float:
    """
    Factor for the inner vertices of an arc that gives its flattened sector the true area.

    Two outer triangles of sides r and f r, steps - 2 inner ones of sides f r:
    (steps - 2) f² sin t + 2 f sin t = steps t.
    """
    inner = steps - 2
    sine = np.sin(step_rad)
    if inner == 0:
        return float(step_rad / sine)
    return float((-sine + np.sqrt(sine**2 + inner * sine * steps * step_rad)) / (inner * sine))


def _arc_between(begin: FloatArray, end: FloatArray, centre: FloatArray, turn: int) -> FloatArray:
    """Vertices of an arc without its end; a radius that differs at both ends changes evenly between them."""
    from_centre, to_centre = begin - centre, end - centre
    first, last = float(np.hypot(*from_centre)), float(np.hypot(*to_centre))
    begin_rad = float(np.arctan2(from_centre[1], from_centre[0]))
    sweep = turn * float(np.mod(turn * (np.arctan2(to_centre[1], to_centre[0]) - begin_rad), _FULL_TURN))
    if sweep == 0:
        sweep = turn * _FULL_TURN
    unit = _arc(max(first, last), begin_rad, sweep) / max(first, last)
    return centre + (unit * np.linspace(first, last, len(unit))[:, None])[:-1]
