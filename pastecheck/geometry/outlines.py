"""
Outlines as vertices: discs, bars, rounded polygons, arcs and contours, many at once.

Curves become chords of equal area: the ends of an arc stay where they are, the vertices between are moved
outward until the flattened sector has the area of the true one. So areas of whole arcs are exact, no point
is farther than FLATNESS_MM from the curve, and the length of an arc is short or long by at most
FLATNESS_MM x its angle / 2.
"""

from typing import NamedTuple, cast

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, CodeArray, FloatArray, IntArray
from pastecheck.ragged import offsets, within_runs

GeometryArray = NDArray[np.object_]

FLATNESS_MM = 1e-4
"""Largest distance between a curve and its flattened outline."""

_FULL_TURN = 2 * np.pi
_STRAIGHT = 0
_AT_ONCE = 5_000
"""Solids that are flattened at once: more are no faster, and their vertices take memory."""


class Solid(NamedTuple):
    """Every point within `radius_mm` of a core: a point, a line or a polygon, in mm."""

    core: shapely.Geometry
    radius_mm: float


class Chains(NamedTuple):
    """Chains of vertices in mm, one behind the other: chain k has the rows offset[k] to offset[k + 1]."""

    vertex: FloatArray
    """Shape (v, 2)."""
    offset: IntArray


class Arcs(NamedTuple):
    """Arcs about the origin; the radius changes evenly from one end to the other. Shape (k,) each."""

    first_mm: FloatArray
    last_mm: FloatArray
    begin_rad: FloatArray
    sweep_rad: FloatArray
    """Counter-clockwise; 0 where nothing turns."""


def convex_core(points_mm: FloatArray) -> shapely.Geometry:
    """The hull of points as a core: a point, a line or a convex polygon, counter-clockwise."""
    return cast("shapely.Geometry", convex_cores(points_mm, np.zeros(len(points_mm), np.int64))[0])


def convex_cores(points_mm: FloatArray, owner: IntArray) -> GeometryArray:
    """Hulls as of `convex_core`, of the points of each owner. `owner` is sorted, from 0 without a gap."""
    return np.asarray(shapely.orient_polygons(shapely.convex_hull(gathered(points_mm, owner))), dtype=object)


def gathered(points_mm: FloatArray, owner: IntArray) -> GeometryArray:
    """The points of each owner as one geometry. Arguments as of `convex_cores`."""
    points = np.asarray(shapely.points(points_mm), dtype=object)
    return np.asarray(shapely.multipoints(points, indices=owner), dtype=object)


def corners_of(core: GeometryArray) -> Chains:
    """Corners of points, lines and polygons without holes; the closing one of a ring is left out."""
    vertex, owner = shapely.get_coordinates(core, return_index=True)
    closing = (shapely.get_dimensions(core) == 2)[owner] & (np.diff(owner, append=-1) != 0)
    return Chains(vertex[~closing], offsets(np.bincount(owner[~closing], minlength=len(core))))


def neighbours(offset: IntArray, step: int) -> IntArray:
    """For each row of closed chains the row that is so many steps on. Shape (v,)."""
    count = np.diff(offset)
    begin, size = np.repeat(offset[:-1], count), np.repeat(count, count)
    row: IntArray = begin + (within_runs(count) + step) % size
    return row


def polygons(rings: Chains) -> GeometryArray:
    """Polygons of closed chains of at least three vertices, valid or not. Shape (k,)."""
    owner = np.repeat(np.arange(len(rings.offset) - 1), np.diff(rings.offset))
    return np.asarray(shapely.polygons(shapely.linearrings(rings.vertex, indices=owner)), dtype=object)


def rounded(core: GeometryArray, radius_mm: FloatArray) -> GeometryArray:
    """
    Outlines of all points within a radius of convex cores.

    Args:
        core: Points, lines of two points or convex polygons, counter-clockwise, in mm. Shape (n,).
        radius_mm: Not negative. Shape (n,).

    Returns:
        Polygons, curves flattened; empty where the core has no area and the radius is 0. Shape (n,).
    """
    result = np.full(len(core), shapely.Polygon(), dtype=object)
    flat = shapely.get_dimensions(core) == 2
    result[flat] = core[flat]
    grown = np.flatnonzero(radius_mm > 0)
    for rows in np.split(grown, range(_AT_ONCE, len(grown), _AT_ONCE)):
        if len(rows):
            result[rows] = polygons(_grown(core[rows], radius_mm[rows]))
    return result


def _grown(core: GeometryArray, radius_mm: FloatArray) -> Chains:
    """An arc about each corner, from the side that arrives there to the side that leaves."""
    corner, offset = corners_of(core)
    leaving = _normals(corner, offset)
    arriving = leaving[neighbours(offset, -1)]
    angle = np.mod(leaving - arriving, _FULL_TURN)
    angle[angle > 1.5 * np.pi] = 0.0  # a corner of a hull turns by at most half: rounding made it negative
    count = np.diff(offset)
    alone = np.repeat(count == 1, count)
    reach_mm = np.repeat(radius_mm, count)
    arcs = Arcs(reach_mm, reach_mm, np.where(alone, 0.0, arriving), np.where(alone, _FULL_TURN, angle))
    found = _flattened(arcs, whole=alone)
    centre = np.repeat(corner, np.diff(found.offset), axis=0)
    return Chains(found.vertex + centre, found.offset[offset])


def _normals(corner: FloatArray, offset: IntArray) -> FloatArray:
    """Directions that the sides leaving the corners of convex chains face. Shape (v,), in radians."""
    side = corner[neighbours(offset, 1)] - corner
    facing: FloatArray = np.arctan2(side[:, 1], side[:, 0]) - np.pi / 2
    return facing


class Grown(NamedTuple):
    """Corners of convex cores, and the ends of the two sides there, moved outward. Shape (v, 2) each."""

    corner: FloatArray
    arriving: FloatArray
    leaving: FloatArray
    offset: IntArray
    """Core k has the rows offset[k] to offset[k + 1]."""


def sides_grown(core: GeometryArray, radius_mm: FloatArray) -> Grown:
    """
    The straight sides of what lies within a radius of convex lines and polygons.

    Arguments as of `rounded`, but no points.
    """
    corner, offset = corners_of(core)
    facing, reach_mm = _normals(corner, offset), np.repeat(radius_mm, np.diff(offset))[:, None]
    way = reach_mm * np.column_stack([np.cos(facing), np.sin(facing)])
    return Grown(corner, corner + way[neighbours(offset, -1)], corner + way, offset)


def inscribed(core: GeometryArray, radius_mm: FloatArray) -> GeometryArray:
    """
    What lies within a radius of convex lines and polygons less the rounding: the hull of the grown sides.

    Together with a disc about each corner it is all that lies within the radius. Arguments as of `rounded`,
    but no points.
    """
    grown = sides_grown(core, radius_mm)
    owner = np.repeat(np.arange(len(core)), 2 * np.diff(grown.offset))
    return convex_cores(np.stack([grown.arriving, grown.leaving], axis=1).reshape(-1, 2), owner)


def stroke_cores(end_mm: FloatArray, centre_mm: FloatArray, turn: CodeArray) -> Chains:
    """Middle lines of strokes from (0, 0) to their ends, arcs flattened; arguments as of `contours`."""
    edges = _edges(np.zeros_like(end_mm), end_mm, centre_mm, turn)
    vertex = np.insert(edges.vertex, edges.offset[1:], end_mm, axis=0)
    return Chains(vertex, edges.offset + np.arange(len(edges.offset)))


def contours(point_mm: FloatArray, centre_mm: FloatArray, turn: CodeArray, offset: IntArray) -> Chains:
    """
    Vertices of closed contours with their arcs flattened.

    Args:
        point_mm: Corners; edge k leaves point k for the next one of its contour, the last one for the first.
            Shape (k, 2).
        centre_mm: Centre of each edge that is an arc. Shape (k, 2).
        turn: 0 straight, 1 counter-clockwise, -1 clockwise, for each edge. Shape (k,).
        offset: Contour c has the rows offset[c] to offset[c + 1]. Shape (c + 1,).
    """
    edges = _edges(point_mm, point_mm[neighbours(offset, 1)], centre_mm, turn)
    return Chains(edges.vertex, edges.offset[offset])


def arcs_between(begin: FloatArray, end: FloatArray, centre: FloatArray, turn: CodeArray) -> Arcs:
    """Edges seen from their centres; those that end where they begin are full circles. Shape (k,)."""
    from_centre, to_centre = begin - centre, end - centre
    begin_rad = np.arctan2(from_centre[:, 1], from_centre[:, 0])
    change = np.arctan2(to_centre[:, 1], to_centre[:, 0]) - begin_rad
    sweep = np.mod(turn * change, _FULL_TURN)
    sweep[sweep == 0] = _FULL_TURN
    return Arcs(np.hypot(*from_centre.T), np.hypot(*to_centre.T), begin_rad, turn * sweep)


def _edges(begin: FloatArray, end: FloatArray, centre: FloatArray, turn: CodeArray) -> Chains:
    """Vertices of edges, each without its end: a straight edge is the point it begins at."""
    arcs = arcs_between(begin, end, centre, turn)
    found = _flattened(arcs, whole=np.zeros(len(turn), bool))
    count = np.diff(found.offset)
    vertex = np.repeat(centre, count, axis=0) + found.vertex
    vertex[found.offset[:-1]] = begin
    is_end = np.zeros(len(vertex), bool)
    is_end[found.offset[1:] - 1] = True
    is_end &= np.repeat(turn != _STRAIGHT, count)
    return Chains(vertex[~is_end], offsets(count - (turn != _STRAIGHT)))


def _flattened(arcs: Arcs, whole: BoolArray) -> Chains:
    """
    Vertices of arcs with both their ends; one vertex where nothing turns.

    Where `whole`, a full circle has no ends, and a multiple of four vertices, all moved outward alike.
    """
    steps = steps_of(np.maximum(arcs.first_mm, arcs.last_mm), arcs.sweep_rad)
    steps = np.where(whole, -(-steps // 4) * 4, steps)
    count = steps + 1 - whole
    arc, step = np.repeat(np.arange(len(count)), count), within_runs(count)
    share = step / np.maximum(steps, 1)[arc]
    angle = arcs.begin_rad[arc] + share * arcs.sweep_rad[arc]
    reach = arcs.first_mm[arc] + share * (arcs.last_mm - arcs.first_mm)[arc]
    moved = whole[arc] | ((step > 0) & (step < steps[arc]))
    reach[moved] *= _outward(steps, np.abs(arcs.sweep_rad), whole)[arc[moved]]
    return Chains(reach[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]), offsets(count))


def steps_of(radius_mm: FloatArray, sweep_rad: FloatArray) -> IntArray:
    """Chords for arcs: so many that their vertices, moved outward, stay within FLATNESS_MM. Shape (k,)."""
    # a lone vertex is r (t / sin t - 1) out: r t² / 6, and the flatness added to r covers the higher powers
    step = np.sqrt(6 * FLATNESS_MM / (np.maximum(radius_mm, 6 * FLATNESS_MM) + FLATNESS_MM))
    steps = np.maximum(2, np.ceil(np.abs(sweep_rad) / step).astype(np.int64))
    return np.where(sweep_rad == 0, 0, steps)


def _outward(steps: IntArray, sweep_rad: FloatArray, whole: BoolArray) -> FloatArray:
    """
    Factor for the vertices that are moved which gives flattened arcs the true area.

    An arc with ends has two outer triangles of sides r and f r, and steps - 2 inner ones of sides f r:
    (steps - 2) f² sin t + 2 f sin t = steps t. A whole circle has inner ones only: f² sin t = t.
    """
    step = np.where(steps > 0, sweep_rad, 1.0) / np.maximum(steps, 1)
    sine = np.sin(step)
    inner = np.maximum(steps - 2, 1)
    between = (-sine + np.sqrt(sine**2 + inner * sine * steps * step)) / (inner * sine)
    factor: FloatArray = np.where(steps == 2, step / sine, between)
    return np.where(whole, np.sqrt(step / sine), factor)
