"""Shortest sides of convex shapes in closed form, as `corners.shortest_sides` defines them."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.corners import (
    CORNER_MM,
    CORNER_RAD,
    END_RAD,
    SIDE_MM,
    ShortestSides,
    lowest_of_shortest,
    shortest_sides,
)
from pastecheck.geometry.walls import corners_of, cross, dot, left_of
from pastecheck.ragged import offsets

GeometryArray = NDArray[np.object_]

_ROUNDING: Final = 1e-6
_SAME_MM: Final = 1e-9
_NO_CIRCLE: Final = 0.25
"""A shape is no circle if the sides of its core are so much of the radius, or the length of a line."""


class ConvexSides(NamedTuple):
    """Shortest sides of shapes; what is not known has to be found from the outline."""

    known: BoolArray
    shortest: ShortestSides


def sides_of_shapes(core: GeometryArray, radius_mm: FloatArray, outline: GeometryArray) -> ShortestSides:
    """
    The shortest side of each shape: as `shortest_sides` of its outline, and faster.

    Args:
        core: Points, straight lines or polygons, in mm; convex where the radius is not 0. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).
        outline: The outline of all within that radius, curves flattened. Shape (s,).
    """
    known, shortest = convex_sides(core, radius_mm)
    others = np.flatnonzero(~known)
    found = shortest_sides(outline[others])
    shortest.length_mm[others] = found.length_mm
    shortest.place_mm[others] = found.place_mm
    return shortest


def convex_sides(core: GeometryArray, radius_mm: FloatArray) -> ConvexSides:
    """
    Sides of circles, obrounds, and convex polygons that turn by 60 to 150 degrees at each corner.

    A corner of radius r turns 60 degrees within 0.08 mm if r is small enough; then its sides run on to where
    they meet, by r tan(turn / 2). Else it is none, and there are no sides. Shapes whose sides and arcs are so
    short that one corner could hold more than one of them are not known.
    """
    count = len(core)
    shortest = ShortestSides(np.full(count, np.nan), np.full((count, 2), np.nan))
    sides = ConvexSides(np.zeros(count, bool), shortest)
    dimension = shapely.get_dimensions(core)
    points = np.flatnonzero(dimension == 0)
    sides.known[points] = True
    shortest.length_mm[points] = radius_mm[points]
    shortest.place_mm[points] = shapely.get_coordinates(core[points])
    lines = dimension == 1
    sides.known[lines] = shapely.length(core[lines]) >= _NO_CIRCLE * radius_mm[lines]
    _put_polygons(sides, core, radius_mm)
    return sides


class _Corners(NamedTuple):
    """Corners of some polygons, each followed by its side. Shape (n,), (n, 2)."""

    owner: IntArray
    at_mm: FloatArray
    along: FloatArray
    length_mm: FloatArray
    turn_rad: FloatArray
    after: IntArray


def _put_polygons(sides: ConvexSides, core: GeometryArray, radius_mm: FloatArray) -> None:
    rows = np.flatnonzero((shapely.get_dimensions(core) == 2) & (shapely.get_num_interior_rings(core) == 0))
    if not len(rows):
        return
    corners, radius = _corners(core[rows]), radius_mm[rows]
    first = offsets(np.bincount(corners.owner, minlength=len(rows)))[:-1]
    least_mm = np.minimum.reduceat(corners.length_mm, first)
    turns = np.minimum.reduceat(corners.turn_rad, first) >= CORNER_RAD + _ROUNDING
    turns &= np.maximum.reduceat(corners.turn_rad, first) < END_RAD - _ROUNDING
    apart = least_mm >= CORNER_MM + _ROUNDING
    within_mm = radius * CORNER_RAD
    meets = turns & ((radius == 0) | (apart & (within_mm <= CORNER_MM - _ROUNDING)))
    is_round = turns & apart & (within_mm > CORNER_MM + _ROUNDING) & (least_mm >= _NO_CIRCLE * radius)
    sides.known[rows] = meets | is_round
    length, middle = _meeting(corners, radius)
    chosen = np.flatnonzero(meets[corners.owner] & (length >= SIDE_MM - _SAME_MM))
    best = chosen[lowest_of_shortest(corners.owner[chosen], length[chosen], middle[chosen])]
    sides.shortest.length_mm[rows[corners.owner[best]]] = length[best]
    sides.shortest.place_mm[rows[corners.owner[best]]] = middle[best]


def _corners(polygons: GeometryArray) -> _Corners:
    corners = corners_of(polygons)
    before, after = corners.neighbours()
    step = corners.at_mm[after] - corners.at_mm
    length = np.hypot(*step.T)
    along = step / length[:, None]
    turn = np.arctan2(cross(along[before], along), dot(along[before], along))
    return _Corners(corners.owner[corners.ring], corners.at_mm, along, length, turn, after)


def _meeting(corners: _Corners, radius_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lengths of sides between the places where they meet, and their middles, a radius farther out."""
    radius = radius_mm[corners.owner]
    beyond = radius * np.tan(corners.turn_rad / 2)
    far_beyond = beyond[corners.after]
    middle = corners.at_mm + ((corners.length_mm + far_beyond - beyond) / 2)[:, None] * corners.along
    return corners.length_mm + beyond + far_beyond, middle - radius[:, None] * left_of(corners.along)
