"""Pairs of solids as they lie to each other: the gap between, and where it is narrowest."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import rows_of_runs, within_runs

GeometryArray = NDArray[np.object_]

_PLACED = 2_000_000
"""So many vertices are moved side by side at a time."""
_A_PAIR_TAKES = 20
"""Of memory, in vertices, beside its own: so no more than 100,000 pairs are placed at a time."""
_VERTICES_PASSED = 50_000
"""An outline whose vertices are passed so often to find the gaps to its neighbours is worth an index."""
_PIECE = 32
"""Sides of a piece of a boundary that the index finds."""

_TRIED_EACH = 100_000
"""For pairs with more corners than this, one's times the other's, what is nearest is found by an index."""

_AS_NEAR_MM = 1e-6


def placed(geometry: GeometryArray, x_mm: FloatArray, y_mm: FloatArray) -> GeometryArray:
    """Geometries moved, each by its own way. Shape (k,)."""
    coordinates, index = shapely.get_coordinates(geometry, return_index=True)
    coordinates[:, 0] += x_mm[index]
    coordinates[:, 1] += y_mm[index]
    moved: GeometryArray = shapely.set_coordinates(geometry.copy(), coordinates)
    return moved


def gaps(
    core: GeometryArray, radius_mm: FloatArray, other: GeometryArray, other_radius_mm: FloatArray
) -> FloatArray:
    """
    Shortest distance between solids, negative where rounded ones overlap. Shape (k,), in mm.

    Exact for the cores given: everything within r of a core is r closer than the core.
    """
    distance: FloatArray = shapely.distance(core, other) - radius_mm - other_radius_mm
    return distance


class Apart(NamedTuple):
    """Pairs of rows of a table of solids, and the way from one origin to the other. Shape (k,) each."""

    one: IntArray
    other: IntArray
    dx_mm: FloatArray
    dy_mm: FloatArray

    def rows(self, rows: IntArray | slice) -> "Apart":
        """Some of the pairs."""
        return Apart(self.one[rows], self.other[rows], self.dx_mm[rows], self.dy_mm[rows])


def cores_apart(core: GeometryArray, pairs: Apart) -> tuple[GeometryArray, GeometryArray]:
    """
    Cores of pairs as they lie to each other. Shape (k,) each.

    The one with more vertices stays in its place: else it would be copied for each of its neighbours.
    """
    vertices = shapely.get_num_coordinates(core)
    first_moves = vertices[pairs.one] < vertices[pairs.other]
    way, moving = np.where(first_moves, -1, 1), np.where(first_moves, pairs.one, pairs.other)
    moved = placed(core[moving], way * pairs.dx_mm, way * pairs.dy_mm)
    stays = core[np.where(first_moves, pairs.other, pairs.one)]
    return np.where(first_moves, moved, stays), np.where(first_moves, stays, moved)


def gaps_apart(core: GeometryArray, radius_mm: FloatArray, pairs: Apart, reach_mm: float) -> FloatArray:
    """
    Gaps as of `gaps`; beyond a reach some are infinite. Shape (k,), in mm.

    Args:
        core: Table of cores. Shape (s,).
        radius_mm: Shape (s,).
        pairs: Rows of the table.
        reach_mm: Largest gap that is of interest.

    Cost:
        Grows with the vertices of all pairs, but only with the logarithm of those of an outline that has very
        many, or very many neighbours.
    """
    gap_mm = np.empty(len(pairs.one))
    for larger, rows in _by_larger(core, pairs):
        first, second = cores_apart(core, pairs.rows(rows))
        radii_mm = radius_mm[pairs.one[rows]] + radius_mm[pairs.other[rows]]
        if larger is None:
            distance_mm = shapely.distance(first, second)
        else:
            neighbour = np.where(pairs.one[rows] == larger, second, first)
            distance_mm = _distances(core[larger], neighbour, reach_mm + radii_mm)
        gap_mm[rows] = distance_mm - radii_mm
    return gap_mm


def _by_larger(core: GeometryArray, pairs: Apart) -> Iterator[tuple[int | None, IntArray]]:
    """Pairs, some at a time, and the row of the outline of very many vertices that they have in common."""
    vertices = shapely.get_num_coordinates(core)
    larger = np.where(vertices[pairs.one] < vertices[pairs.other], pairs.other, pairs.one)
    moved = np.minimum(vertices[pairs.one], vertices[pairs.other])
    passed = vertices * np.bincount(larger, minlength=len(core))
    is_many = ((vertices > 2 * _PIECE) & (passed > _VERTICES_PASSED))[larger]
    few, many = np.flatnonzero(~is_many), np.flatnonzero(is_many)
    many = many[np.argsort(larger[many], kind="stable")]
    groups = np.split(many, np.flatnonzero(np.diff(larger[many])) + 1) if len(many) else []
    for group in (few, *groups):
        common = None if group is few else int(larger[group[0]])
        step = np.cumsum(moved[group] + _A_PAIR_TAKES) // _PLACED
        for some in np.split(group, np.flatnonzero(np.diff(step)) + 1):
            yield common, some


def _distances(outline: shapely.Geometry, neighbour: GeometryArray, reach_mm: FloatArray) -> FloatArray:
    """Distances from an outline of many vertices, found by an index; infinite beyond reaches. Shape (k,)."""
    distance_mm = np.full(len(neighbour), np.inf)
    across = np.zeros(len(neighbour), bool)
    # one may lie within the other, but no point within a line: to ask for each of many would take long
    could_be = (shapely.get_dimensions(neighbour) > 0) | (shapely.get_dimensions(outline) == 2)
    shapely.prepare(outline)
    across[could_be] = shapely.intersects(outline, neighbour[could_be])
    distance_mm[across] = 0.0
    apart = np.flatnonzero(~across)
    part, piece, row, near = _pieces_near(outline, neighbour[apart], reach_mm[apart])
    np.minimum.at(distance_mm, apart[row], shapely.distance(part, piece[near]))
    return distance_mm


def places_apart(core: GeometryArray, radius_mm: FloatArray, pairs: Apart, gap_mm: FloatArray) -> FloatArray:
    """
    Places as of `nearest_places`, about the origin of the first of each pair. Shape (k, 2), in mm.

    Args:
        core: Columns as of `gaps_apart`.
        radius_mm: As well.
        pairs: As well.
        gap_mm: The gap of each pair. Shape (k,).
    """
    place = np.empty((len(gap_mm), 2))
    for first, second, rows in _nearest_parts(core, radius_mm, pairs, gap_mm):
        one, other = pairs.one[rows], pairs.other[rows]
        place[rows] = nearest_places(first, radius_mm[one], second, radius_mm[other])
    vertices = shapely.get_num_coordinates(core)
    moved = (vertices[pairs.one] < vertices[pairs.other])[:, None]
    place += np.where(moved, np.column_stack([pairs.dx_mm, pairs.dy_mm]), 0.0)
    return place


def directions_apart(
    core: GeometryArray, radius_mm: FloatArray, pairs: Apart, gap_mm: FloatArray
) -> FloatArray:
    """
    Direction from one solid to the other where they are nearest. Shape (k,), in (-pi, pi].

    Args:
        core: Columns as of `gaps_apart`.
        radius_mm: As well.
        pairs: As well; their cores lie apart.
        gap_mm: The gap of each pair. Shape (k,).
    """
    direction = np.empty(len(gap_mm))
    for first, second, rows in _nearest_parts(core, radius_mm, pairs, gap_mm):
        ends = shapely.get_coordinates(shapely.shortest_line(first, second)).reshape(-1, 2, 2)
        way = ends[:, 1] - ends[:, 0]
        direction[rows] = np.arctan2(way[:, 1], way[:, 0])
    return direction


def _nearest_parts(
    core: GeometryArray, radius_mm: FloatArray, pairs: Apart, gap_mm: FloatArray
) -> Iterator[tuple[GeometryArray, GeometryArray, IntArray]]:
    """Cores of pairs as they lie to each other, some pairs at a time; of very large ones what is nearest."""
    for larger, rows in _by_larger(core, pairs):
        some = pairs.rows(rows)
        first, second = cores_apart(core, some)
        if larger is not None:
            is_first = some.one == larger
            distance_mm = gap_mm[rows] + radius_mm[some.one] + radius_mm[some.other]
            near = _near_parts(core[larger], np.where(is_first, second, first), distance_mm)
            first, second = np.where(is_first, near, first), np.where(is_first, second, near)
        yield first, second, rows


def _near_parts(
    outline: shapely.Geometry, neighbour: GeometryArray, distance_mm: FloatArray
) -> GeometryArray:
    """The parts of the boundary of an outline that could be so near to each neighbour. Shape (k,)."""
    _, piece, row, near = _pieces_near(outline, neighbour, distance_mm)
    both, _ = np.unique(np.column_stack([row, near]), axis=0, return_index=True)  # or it loads masked arrays
    row, near = both.T
    parts = shapely.multilinestrings(piece[near], indices=row)
    return np.asarray(
        shapely.line_merge(parts), dtype=object
    )  # no corner at which two pieces meet comes twice


class _Near(NamedTuple):
    """Pieces of a boundary, and which of them lie near parts of neighbours. Shape (k,) but for `piece`."""

    part: GeometryArray
    piece: GeometryArray
    row: IntArray
    """Of the neighbour."""
    near: IntArray
    """Of the piece."""


def _pieces_near(outline: shapely.Geometry, neighbour: GeometryArray, reach_mm: FloatArray) -> _Near:
    """Pieces of a boundary and parts of neighbours whose boxes are within the neighbour's reach."""
    piece, _ = _pieces(np.array([outline], dtype=object))
    part, owner = _pieces(neighbour)
    box = shapely.bounds(part).reshape(-1, 4)
    reach_mm = reach_mm[owner][:, None] + _AS_NEAR_MM
    low, high = box[:, :2] - reach_mm, box[:, 2:] + reach_mm
    row, near = shapely.STRtree(piece).query(shapely.box(*low.T, *high.T))
    return _Near(part[row], piece, owner[row], near)


def _pieces(outlines: GeometryArray) -> tuple[GeometryArray, IntArray]:
    """Boundaries of polygons, and lines, in pieces of some sides each; what has few sides stays as it is."""
    is_many = shapely.get_num_coordinates(outlines) > 2 * _PIECE
    few, many = np.flatnonzero(~is_many), np.flatnonzero(is_many)
    is_polygon = shapely.get_dimensions(outlines[many]) == 2
    ring, of_polygon = shapely.get_rings(outlines[many[is_polygon]], return_index=True)
    lines = np.concatenate([ring, outlines[many[~is_polygon]]])
    of_line = np.concatenate([many[is_polygon][of_polygon], many[~is_polygon]])
    vertex, line = shapely.get_coordinates(lines, return_index=True)
    begin = np.flatnonzero(np.diff(line, prepend=-1))
    sides = np.diff(np.append(begin, len(line))) - 1
    count = -(-sides // _PIECE)
    at = _PIECE * within_runs(count)
    size = np.minimum(np.repeat(sides, count) - at, _PIECE) + 1
    rows = rows_of_runs(np.repeat(begin, count) + at, size)
    piece = shapely.linestrings(vertex[rows], indices=np.repeat(np.arange(len(size)), size))
    every: GeometryArray = np.concatenate([outlines[few], np.asarray(piece, dtype=object)])
    return every, np.concatenate([few, np.repeat(of_line, count)])


def nearest_places(
    core: GeometryArray, radius_mm: FloatArray, other: GeometryArray, other_radius_mm: FloatArray
) -> FloatArray:
    """
    The middle of the narrowest place between solids that lie apart. Shape (k, 2), in mm.

    Where sides are parallel, the middle of the stretch along which they face each other: so that rounding
    does not make the place jump from one end to the other. That stretch ends at corners of one or the other.
    """
    pair, one, two = (
        np.concatenate(columns)
        for columns in zip(_from_corners(core, other), _swapped(_from_corners(other, core)), strict=True)
    )
    length = np.hypot(*(two - one).T)
    shortest = np.full(len(core), np.inf)
    np.minimum.at(shortest, pair, length)
    kept = length <= shortest[pair] + _AS_NEAR_MM
    pair, one, two = pair[kept], one[kept], two[kept]
    count = np.bincount(pair, minlength=len(core))
    begin, end = (
        np.column_stack([np.bincount(pair, weights=xy, minlength=len(core)) / count for xy in ends.T])
        for ends in (one, two)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        share = 0.5 + (radius_mm - other_radius_mm) / (2 * np.hypot(*(end - begin).T))
    place: FloatArray = begin + np.nan_to_num(share, nan=0.5, posinf=0.5, neginf=0.5)[:, None] * (end - begin)
    return place


def _from_corners(core: GeometryArray, other: GeometryArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """For each corner of each core: its pair, the corner, and the nearest point of the other core."""
    corner, pair = shapely.get_coordinates(core, return_index=True)
    closing = (shapely.get_dimensions(core) == 2)[pair] & (np.diff(pair, append=-1) != 0)
    corner, pair = corner[~closing], pair[~closing]
    many = shapely.get_num_coordinates(core) * shapely.get_num_coordinates(other) > _TRIED_EACH
    facing, near = other[pair], np.ones(len(pair), bool)
    for row in np.flatnonzero(many).tolist():
        at = np.flatnonzero(pair == row)
        piece, _ = _pieces(other[row : row + 1])
        found, distance_mm = shapely.STRtree(piece).query_nearest(
            _points(corner[at]), return_distance=True, all_matches=False
        )
        facing[at] = piece[found[1]]
        near[at] = distance_mm <= distance_mm.min() + 2 * _AS_NEAR_MM
    corner, pair, facing = corner[near], pair[near], facing[near]
    lines = shapely.shortest_line(shapely.points(corner), facing)
    return pair, corner, shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1]


def _points(place: FloatArray) -> GeometryArray:
    return np.asarray(shapely.points(place), dtype=object)


def _swapped(found: tuple[IntArray, FloatArray, FloatArray]) -> tuple[IntArray, FloatArray, FloatArray]:
    pair, one, two = found
    return pair, two, one
