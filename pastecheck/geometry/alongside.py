"""Pieces of an outline that are near another and face it: so the two run alongside each other."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.walls import corners_of, cross, dot

GeometryArray = NDArray[np.object_]

NEAR_GAPS = 1.2
"""Farther than so many gaps apart two outlines no longer run alongside each other."""
FACING_RAD = np.radians(60)
"""The outward normal must not turn farther than this from the way to the nearest point."""

_COSINE = np.cos(FACING_RAD)
_TANGENT = np.tan(FACING_RAD)
ROUNDING_MM = 1e-9


class Pieces(NamedTuple):
    """
    What outlines are made of: straight sides, and arcs about the corners of their cores; n rows.

    A point of a side is `begin + at x along`, and its outward normal is along turned right. A point of an arc
    is radius from `begin`, at an angle to the left of the normal it begins with.
    """

    shape: IntArray
    is_arc: BoolArray
    begin_mm: FloatArray
    """Of the side of the core; or the corner. Shape (n, 2)."""
    along: FloatArray
    """Unit vector; of an arc that of the side before. Shape (n, 2)."""
    leaving: FloatArray
    """Unit vector of the side after the corner, of arcs. Shape (n, 2)."""
    extent: FloatArray
    """Length of a side in mm, angle of an arc in radians."""
    radius_mm: FloatArray


def pieces_of(core: GeometryArray, radius_mm: FloatArray) -> Pieces:
    """
    Sides and convex corners of cores, with their radii; sorted by core.

    Args:
        core: Points, straight lines or polygons, in mm; convex where the radius is not 0. Shape (s,).
        radius_mm: Shape (s,).
    """
    begin, along, length, turn, before, shape = _sides_of(core)
    corner = (turn > 0) & ~((length == 0) & (radius_mm[shape] == 0))
    side = length > 0
    every = np.concatenate([shape[side], shape[corner]])
    order = np.argsort(every, kind="stable")
    pieces = Pieces(
        every,
        np.repeat([False, True], [np.count_nonzero(side), np.count_nonzero(corner)]),
        np.concatenate([begin[side], begin[corner]]),
        np.concatenate([along[side], along[before][corner]]),
        np.concatenate([along[side], along[corner]]),
        np.concatenate([length[side], turn[corner]]),
        radius_mm[every],
    )
    return rows_of(pieces, order)


def rows_of(pieces: Pieces, rows: IntArray | BoolArray) -> Pieces:
    """Some of the pieces."""
    return Pieces(
        pieces.shape[rows],
        pieces.is_arc[rows],
        pieces.begin_mm[rows],
        pieces.along[rows],
        pieces.leaving[rows],
        pieces.extent[rows],
        pieces.radius_mm[rows],
    )


def _sides_of(
    core: GeometryArray,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, IntArray, IntArray]:
    """Begin, direction, length, turn at the beginning, side before and core of each side: a line has two."""
    polygon = np.flatnonzero(shapely.get_dimensions(core) == 2)
    corners = corners_of(core[polygon])
    flat = np.flatnonzero(shapely.get_dimensions(core) < 2)
    at, row = shapely.get_coordinates(core[flat], return_index=True)
    before, after = corners.neighbours()
    flat_before, flat_after = corners._replace(at_mm=at, ring=row).neighbours()
    begin = np.concatenate([corners.at_mm, at])
    before = np.concatenate([before, flat_before + len(before)])
    after = np.concatenate([after, flat_after + len(after)])
    step = begin[after] - begin
    length = np.hypot(*step.T)
    along = np.where(length[:, None] > 0, step / np.where(length > 0, length, 1.0)[:, None], [1.0, 0.0])
    turn = np.arctan2(cross(along[before], along), dot(along[before], along))
    turn[len(corners.at_mm) :] = np.pi  # at the end of a line an outline turns back
    turn[length == 0] = 2 * np.pi  # and about a point all round
    return (
        begin,
        along,
        length,
        turn,
        before,
        np.concatenate([polygon[corners.owner[corners.ring]], flat[row]]),
    )


def right_of(vectors: FloatArray) -> FloatArray:
    """Vectors turned right by 90 degrees. Shape (..., 2)."""
    return np.stack([vectors[..., 1], -vectors[..., 0]], axis=-1)


def points_of(pieces: Pieces, at: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Points of outlines and their outward normals.

    Args:
        pieces: n rows.
        at: A place on each. Shape (n,).

    Returns:
        Shape (n, 2) each.
    """
    outward = right_of(pieces.along)
    arc = np.flatnonzero(pieces.is_arc)
    turned = at[arc, None]
    outward[arc] = np.cos(turned) * outward[arc] + np.sin(turned) * pieces.along[arc]
    on_side = np.where(pieces.is_arc, 0.0, at)[:, None] * pieces.along
    return pieces.begin_mm + on_side + pieces.radius_mm[:, None] * outward, outward


class Stretches(NamedTuple):
    """Parts of pieces, by their places on them. Shape (k,)."""

    piece: IntArray
    begin: FloatArray
    end: FloatArray


def stretches_facing(pieces: Pieces, across: Pieces, near_mm: FloatArray) -> Stretches:
    """
    Where each piece is near the piece of another outline in the same row, and faces it; exact.

    The other must be locally nearest there: the foot on a side, or a corner from within its two normals.

    Args:
        pieces: n rows.
        across: What each may face; n rows.
        near_mm: Largest distance of the two. Shape (n,).
    """
    at = _changes(pieces, across, near_mm)
    at = np.sort(np.clip(np.nan_to_num(at, nan=0.0), 0.0, pieces.extent[:, None]), axis=1)
    row, part = np.nonzero(at[:, 1:] > at[:, :-1])
    begin, end = at[row, part], at[row, part + 1]
    facing = _is_facing(rows_of(pieces, row), rows_of(across, row), near_mm[row], (end + begin) / 2)
    return Stretches(row[facing], begin[facing], end[facing])


def _is_facing(pieces: Pieces, across: Pieces, near_mm: FloatArray, at: FloatArray) -> BoolArray:
    """The definition itself, at a place of each piece. Shape (n,)."""
    point, outward = points_of(pieces, at)
    to_begin = point - across.begin_mm
    foot, normal = dot(to_begin, across.along), right_of(across.along)
    height = dot(to_begin, normal)
    away = np.where(across.is_arc, np.hypot(to_begin[:, 0], to_begin[:, 1]), height)
    round_point = across.extent >= 2 * np.pi
    in_cone = (foot >= 0) & (dot(to_begin, across.leaving) <= 0)
    on_side = (foot >= 0) & (foot <= across.extent) & (height > 0)
    way = np.where(across.is_arc[:, None], to_begin, height[:, None] * normal)
    facing = dot(outward, -way) >= _COSINE * away - ROUNDING_MM
    is_nearest: BoolArray = np.where(across.is_arc, in_cone | round_point, on_side)
    is_nearest &= facing & (away <= near_mm + across.radius_mm + ROUNDING_MM)
    return is_nearest


def _changes(pieces: Pieces, across: Pieces, near_mm: FloatArray) -> FloatArray:
    """All places on pieces where one of the conditions may begin or cease to hold. Shape (n, 12)."""
    reach = near_mm + across.radius_mm
    bound = np.where(across.is_arc, 0.0, across.extent)
    level = [
        (across.along, np.zeros(len(reach))),
        (across.leaving, bound),
        (right_of(across.along), np.where(across.is_arc, np.nan, reach)),
        (right_of(across.along), np.where(across.is_arc, np.nan, 0.0)),
    ]
    at = np.full((len(reach), 14), np.nan)
    at[:, 0], at[:, 1] = 0.0, pieces.extent
    for column, (way, value) in enumerate(level):
        at[:, 2 + 2 * column : 4 + 2 * column] = _where_level(pieces, across, way, value)
    at[:, 10:12] = _where_as_far(pieces, across, reach)
    at[:, 12:14] = _where_aside(pieces, across)
    return at


def _where_level(pieces: Pieces, across: Pieces, way: FloatArray, value: FloatArray) -> FloatArray:
    """Places at which the way from the beginning of what lies across, in a direction, has a value. (n, 2)."""
    origin = dot(pieces.begin_mm - across.begin_mm, way)
    normal = right_of(pieces.along)
    first, second = pieces.radius_mm * dot(normal, way), pieces.radius_mm * dot(pieces.along, way)
    with np.errstate(divide="ignore", invalid="ignore"):
        on_side = (value - origin - first) / dot(pieces.along, way)
        half = np.arccos((value - origin) / np.hypot(first, second))
    on_side = np.where(np.isfinite(on_side), on_side, np.nan)
    middle = np.arctan2(second, first)
    arcs = np.column_stack([middle - half, middle + half])
    return np.where(pieces.is_arc[:, None], np.mod(arcs, 2 * np.pi), on_side[:, None])


def _where_as_far(pieces: Pieces, across: Pieces, reach_mm: FloatArray) -> FloatArray:
    """Places as far from a corner as the reach; not a number for sides across. Shape (n, 2)."""
    from_corner = pieces.begin_mm - across.begin_mm
    normal = right_of(pieces.along)
    level = dot(from_corner, normal) + pieces.radius_mm
    with np.errstate(divide="ignore", invalid="ignore"):
        half_side = np.sqrt(reach_mm**2 - level**2)
        apart = np.hypot(*from_corner.T)
        half = np.arccos((reach_mm**2 - apart**2 - pieces.radius_mm**2) / (2 * apart * pieces.radius_mm))
    foot = -dot(from_corner, pieces.along)
    middle = np.arctan2(dot(from_corner, pieces.along), dot(from_corner, normal))
    sides = np.column_stack([foot - half_side, foot + half_side])
    arcs = np.mod(np.column_stack([middle - half, middle + half]), 2 * np.pi)
    found = np.where(pieces.is_arc[:, None], arcs, sides)
    return np.where(across.is_arc[:, None], found, np.nan)


def _where_aside(pieces: Pieces, across: Pieces) -> FloatArray:
    """Places from which what lies across is just 60 degrees off the normal. Shape (n, 2)."""
    to_corner = across.begin_mm - pieces.begin_mm
    normal = right_of(pieces.along)
    level = dot(to_corner, normal) - pieces.radius_mm
    foot = dot(to_corner, pieces.along)
    sides = np.column_stack([foot - _TANGENT * level, foot + _TANGENT * level])
    # from a point of an arc: D cos d - r is ahead, D sin d aside, so D cos(d + 30 degrees) = r cos 30 degrees
    apart = np.hypot(*to_corner.T)
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.arccos(pieces.radius_mm * np.sin(FACING_RAD) / apart) - (np.pi / 2 - FACING_RAD)
    half = np.where(across.is_arc, half, FACING_RAD)
    way = np.where(across.is_arc[:, None], to_corner, -right_of(across.along))
    middle = np.arctan2(dot(way, pieces.along), dot(way, normal))
    arcs = np.mod(np.column_stack([middle - half, middle + half]), 2 * np.pi)
    sides = np.where(across.is_arc[:, None], sides, np.nan)
    return np.where(pieces.is_arc[:, None], arcs, sides)


def union_lengths(parts: Stretches) -> tuple[IntArray, FloatArray]:
    """Pieces, and how much of each some stretches cover together; a piece may come more than once."""
    order = np.lexsort((parts.begin, parts.piece))
    piece, begin, end = parts.piece[order], parts.begin[order], parts.end[order]
    is_first = np.diff(piece, prepend=-1) != 0
    # how far each piece is covered so far, by the rank of the ends: so no piece is reckoned with another
    by_end, rank = np.argsort(end), np.empty(len(end), np.int64)
    rank[by_end] = np.arange(len(end))
    pieces_before = np.cumsum(is_first) * len(end)
    covered = end[by_end[np.maximum.accumulate(pieces_before + rank) - pieces_before]]
    before = np.where(is_first, -np.inf, np.roll(covered, 1))
    return piece, np.maximum(covered - np.maximum(begin, before), 0.0)


def boxes_of(pieces: Pieces) -> FloatArray:
    """Boxes about pieces; those of arcs hold the whole circle. Shape (n, 4)."""
    straight = np.where(pieces.is_arc, 0.0, pieces.extent)[:, None] * pieces.along
    end = pieces.begin_mm + straight
    radius = pieces.radius_mm[:, None]
    low = np.minimum(pieces.begin_mm, end) - radius
    high = np.maximum(pieces.begin_mm, end) + radius
    return np.hstack([low, high])


def may_face(pieces: Pieces, across: Pieces, near_mm: FloatArray) -> BoolArray:
    """Whether some point of each piece may have its nearest point on what lies across. Shape (n,)."""
    arc, slack = across.is_arc, ROUNDING_MM
    low, high = _range(pieces, across, across.along)
    may: BoolArray = (high >= -slack) & (arc | (low <= across.extent + slack))
    low, _ = _range(pieces, across, across.leaving)
    may &= ~arc | (low <= slack)
    may |= arc & (across.extent >= 2 * np.pi)
    low, high = _range(pieces, across, right_of(across.along))
    may &= arc | ((high >= 0) & (low <= near_mm + across.radius_mm + slack))
    normal = right_of(pieces.along)
    towards = -dot(normal, right_of(across.along)) >= _COSINE - slack
    ahead = dot(across.begin_mm - pieces.begin_mm, normal) > pieces.radius_mm
    return may & (pieces.is_arc | np.where(arc, ahead, towards))


def _range(pieces: Pieces, across: Pieces, way: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least and most that points of pieces lie beyond the beginning of what is across, in a direction."""
    begin = dot(pieces.begin_mm - across.begin_mm, way)
    middle = begin + pieces.radius_mm * dot(right_of(pieces.along), way)
    end = middle + pieces.extent * dot(pieces.along, way)
    arc, radius = pieces.is_arc, pieces.radius_mm
    low = np.where(arc, begin - radius, np.minimum(middle, end))
    return low, np.where(arc, begin + radius, np.maximum(middle, end))
