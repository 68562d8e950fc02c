"""
Facing discs: how narrow an outline is inside, and how narrow what juts into it from outside.

A disc that lies in a region and touches its outline *faces* if it is one of these; a touch direction points
from its centre to a touch:

A. two touch directions are 180 degrees apart, give or take one degree: a waist, or parallel walls;
B. of three touch directions, none closer to another than 20 degrees, two are at least 160 degrees apart: the
   narrow end of a taper of up to 20 degrees;
C. it is the largest disc in the region.

And D: a corner sharper than 20 degrees, with straight sides of at least 0.05 mm, holds discs of any size: 0.

E. two touch directions are at least 160 degrees apart, and farther in, where the walls come closer, none are:
   the end of a taper that no wall closes, but its own walls, bending together. It counts where it is
   narrower than 0.9 of all other discs, or every oval would have a neck near its ends.

Branches of the medial axis into corners of 20 degrees and more are left out so, rounded corners or not.

The smallest disc of kind A lies between a reflex vertex and the nearest point across from it, or, as all of
kind B, about a vertex of the medial axis. What comes within 0.2 um of a disc touches it, so that the facets
of an arc are one contact. On curved walls the degree of A lets a disc be 0.02 % smaller than the widest there
(half disc, ellipse of 2 to 1).
"""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.facing_rules import (
    TAPER_RAD,
    TIP_SIDE_MM,
    are_ends_of_tapers,
    contact_reach,
    empty_radius,
    faces,
    looseness,
    might_face,
    narrower,
)
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.shrinking import ConvexDiscs, shrunk
from pastecheck.geometry.tongue_walls import wall_lengths
from pastecheck.geometry.touching import Medial, Touching, medial
from pastecheck.geometry.walls import (
    Walls,
    angle_between,
    are_empty,
    chunks_of,
    corners_of,
    dot,
    nearest_on,
    outer,
    sides_near,
    walls_of,
)
from pastecheck.ragged import offsets

GeometryArray = NDArray[np.object_]

REACH_MM = 0.6
"""Tongues wider than this are of no interest: `common practice, no source`."""

_SIDES_AT_ONCE = 50_000
_CELLS_AT_ONCE = 2_000_000
_HULL_LACKS = 1e-12
_SAME_SIZE_MM = 1e-6


class Discs(NamedTuple):
    """One disc for each outline, NaN where there is none. Shape (s,) and (s, 2)."""

    diameter_mm: FloatArray
    error_mm: FloatArray
    """How far the diameter can be from that in the true outline."""
    begin_mm: FloatArray
    """Where it touches on one side..."""
    end_mm: FloatArray
    """... and on the other. The tip of a sharp corner (D) is both."""

    def put(self, rows: IntArray, discs: "Discs") -> None:
        """Write discs to these rows."""
        for column, values in zip(self, discs, strict=True):
            column[rows] = values

    def put_ends(self, ends: "Discs") -> None:
        """Write the ends of tapers (E) that count beside what is known of each outline."""
        rows = np.flatnonzero(narrower(ends.diameter_mm, self.diameter_mm))
        self.put(rows, Discs(*(column[rows] for column in ends)))


class InnerDiscs(NamedTuple):
    """Discs inside each outline."""

    narrowest: Discs
    """The smallest that faces: the neck."""
    largest: Discs
    """The largest of all: the span."""


def necks(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Discs:
    """The smallest facing disc in each shape; as `inner_discs`, which finds the largest as well."""
    return inner_discs(core, radius_mm, tolerance_mm).narrowest


def largest_discs(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Discs:
    """The largest disc in each shape; as `inner_discs`, which finds the narrowest as well."""
    return inner_discs(core, radius_mm, tolerance_mm).largest


def inner_discs(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> InnerDiscs:
    """
    The smallest facing disc in each shape (its neck), and the largest disc of all (its span).

    Args:
        core: Points, straight lines or polygons, in mm; convex where the radius is not 0. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).
        tolerance_mm: How far each can be from the true outline. Shape (s,).

    Returns:
        Diameters within 2 x tolerance for convex shapes, 2 x (tolerance + 0.1 um) for all others, as long as
        the true outline has the same facing discs. All within r of a convex core has its discs, r larger.

    Cost:
        Convex shapes of k corners: k², in arrays over all of equally many. Others: n root n for n sides, in
        arrays over all of them.
    """
    discs = InnerDiscs(_no_discs(len(core)), _no_discs(len(core)))
    convex = are_convex(core)
    flat = shapely.get_dimensions(core) < 2
    for rows, found in (
        (np.flatnonzero(flat), _flat_discs),
        (np.flatnonzero(convex & ~flat), _convex_discs),
        (np.flatnonzero(~convex), _odd_discs),
    ):
        inner = found(core[rows], radius_mm[rows], tolerance_mm[rows])
        discs.narrowest.put(rows, inner.narrowest)
        discs.largest.put(rows, inner.largest)
    return discs


def are_convex(core: GeometryArray) -> BoolArray:
    """Whether cores are points, straight lines or convex polygons without holes. Shape (s,)."""
    hull = shapely.area(shapely.convex_hull(core))
    convex: BoolArray = hull - shapely.area(core) <= _HULL_LACKS * np.maximum(hull, _HULL_LACKS)
    return convex


def _no_discs(count: int) -> Discs:
    return Discs(
        np.full(count, np.nan),
        np.full(count, np.nan),
        np.full((count, 2), np.nan),
        np.full((count, 2), np.nan),
    )


def _flat_discs(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> InnerDiscs:
    """Discs in circles and obrounds: about the middle of the core, across it."""
    coordinates, row = shapely.get_coordinates(core, return_index=True)
    first = np.searchsorted(row, np.arange(len(core)))
    last = np.searchsorted(row, np.arange(len(core)), side="right") - 1
    along = coordinates[last] - coordinates[first] if len(core) else np.zeros((0, 2))
    middle = coordinates[first] + along / 2 if len(core) else along
    angle = np.arctan2(along[:, 1], along[:, 0])
    across = radius_mm[:, None] * np.column_stack([-np.sin(angle), np.cos(angle)])
    discs = Discs(2 * radius_mm, 2 * tolerance_mm, middle - across, middle + across)
    return InnerDiscs(discs, discs)


def _convex_discs(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> InnerDiscs:
    """Discs in convex polygons, and in all within a radius of them."""
    corners = corners_of(core)
    count = np.bincount(corners.owner[corners.ring], minlength=len(core))
    begin = offsets(count)[:-1]
    narrowest, end, largest = (_no_discs(len(core)) for _ in range(3))
    for corner_count in np.unique(count).tolist():
        rows = np.flatnonzero(count == corner_count)
        step = max(1, _CELLS_AT_ONCE // corner_count)
        for chunk in np.split(rows, range(step, len(rows), step)):
            corner = corners.at_mm[begin[chunk][:, None] + np.arange(corner_count)]
            # a tip with a radius is the narrow end of a taper (B), however short its sides
            tip_side = np.where(radius_mm[chunk] > 0, 0.0, TIP_SIDE_MM)
            for discs, found in zip((narrowest, end, largest), shrunk(corner, tip_side), strict=True):
                discs.put(chunk, _grown(found, radius_mm[chunk], tolerance_mm[chunk]))
    narrowest.put_ends(end)
    return InnerDiscs(narrowest, largest)


def _grown(found: ConvexDiscs, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Discs:
    """Discs of cores, larger by the radius."""
    across = found.end_mm - found.begin_mm
    length = np.hypot(*across.T)[:, None]
    with np.errstate(invalid="ignore"):
        way = np.where(length > 0, across / length, 0.0) * radius_mm[:, None]
    error_mm = (2 + found.looseness) * tolerance_mm
    return Discs(2 * (found.radius_mm + radius_mm), error_mm, found.begin_mm - way, found.end_mm + way)


class _Pairs(NamedTuple):
    """Discs of regions, and two of their touches. Shape (k,), (k, 2)."""

    region: IntArray
    radius_mm: FloatArray
    begin_mm: FloatArray
    end_mm: FloatArray
    looseness: FloatArray
    """By how many tolerances more than others the diameter can be off."""

    def rows(self, kept: BoolArray | IntArray) -> "_Pairs":
        """Some of them."""
        begin, end = self.begin_mm[kept], self.end_mm[kept]
        return _Pairs(self.region[kept], self.radius_mm[kept], begin, end, self.looseness[kept])


def _odd_discs(core: GeometryArray, _: FloatArray, tolerance_mm: FloatArray) -> InnerDiscs:
    """Discs in polygons of any form."""
    inner = InnerDiscs(_no_discs(len(core)), _no_discs(len(core)))
    for chunk in chunks_of(shapely.get_num_coordinates(core).astype(np.int64), _SIDES_AT_ONCE):
        walls = walls_of(core[chunk])
        axis = medial(walls, _most_mm(core[chunk]))
        found = [*_facing(walls, axis), _tips(walls)]
        largest = _best([_as_pairs(axis.vertices), *found], tolerance_mm[chunk], largest=True)
        narrowest = _best(found, tolerance_mm[chunk])
        none = np.flatnonzero(np.isnan(narrowest.diameter_mm))
        narrowest.put(none, Discs(*(column[none] for column in largest)))
        narrowest.put_ends(_best([_ends(axis.vertices)], tolerance_mm[chunk]))
        inner.narrowest.put(chunk, narrowest)
        inner.largest.put(chunk, largest)
    return inner


def _most_mm(polygons: GeometryArray) -> FloatArray:
    """Radii that no disc in a polygon exceeds."""
    low_x, low_y, high_x, high_y = shapely.bounds(polygons).T
    least = np.minimum(high_x - low_x, high_y - low_y) / 2
    most: FloatArray = np.minimum(least, np.sqrt(shapely.area(polygons) / np.pi)) + _SAME_SIZE_MM
    return most


def _angles(vertices: Touching) -> FloatArray:
    """Angles between touch directions; column k is of those other than touch k. Shape (k, 3)."""
    direction = vertices.touch_mm - vertices.centre_mm[:, None]
    return angle_between(direction[:, [1, 2, 0]], direction[:, [2, 0, 1]])


def _as_pairs(vertices: Touching) -> _Pairs:
    """Vertices of the medial axis with the two touches that are farthest apart."""
    rows, third = np.arange(len(vertices.region)), _angles(vertices).argmax(axis=1)
    one, other = vertices.touch_mm[rows, (third + 1) % 3], vertices.touch_mm[rows, (third + 2) % 3]
    return _Pairs(vertices.region, vertices.radius_mm, one, other, np.zeros(len(rows)))


def _ends(vertices: Touching) -> _Pairs:
    """
    Discs of kind E.

    From a vertex of the medial axis one edge leads between each two of its touches. It leads to where the
    walls come closer if the third touch, seen along the two, lies behind them.
    """
    angle = _angles(vertices)
    direction = vertices.touch_mm - vertices.centre_mm[:, None]
    direction /= np.maximum(vertices.radius_mm, _SAME_SIZE_MM)[:, None, None]
    both = direction[:, [1, 2, 0]] + direction[:, [2, 0, 1]]
    closer = dot(both, direction) < 1 + np.cos(angle)
    taper = angle >= TAPER_RAD - _SAME_SIZE_MM
    ends = (taper & ~closer).any(axis=1) & ~(taper & closer).any(axis=1)
    sorted_ = np.sort(angle[ends], axis=1)
    loose = looseness(sorted_[:, 2], sorted_[:, 1])
    return _as_pairs(vertices).rows(ends)._replace(looseness=loose)


def _facing(walls: Walls, axis: Medial) -> list[_Pairs]:
    """Discs of kind A and B; those that need a closer look only where they would be the smallest."""
    vertices, angle = axis.vertices, _angles(axis.vertices)
    pairs = _as_pairs(vertices)
    sure = pairs.rows(faces(angle))
    least = np.full(len(walls.offset) - 1, np.inf)
    np.minimum.at(least, sure.region, sure.radius_mm)
    waist = _waists(walls, axis)
    waist = waist.rows(waist.radius_mm < least[waist.region])
    centre = (waist.begin_mm + waist.end_mm) / 2
    waist = waist.rows(are_empty(walls, waist.region, centre, empty_radius(waist.radius_mm)))
    np.minimum.at(least, waist.region, waist.radius_mm)
    maybe = np.flatnonzero(might_face(angle) & (vertices.radius_mm < least[vertices.region]))
    return [sure, waist, pairs.rows(maybe[_have_wide_contact(walls, vertices, maybe)])]


def _waists(walls: Walls, axis: Medial) -> _Pairs:
    """Discs between reflex vertices and the nearest point of what lies across."""
    vertex = walls.begin_mm[axis.reflex]
    across = nearest_on(walls, axis.across, vertex)
    radius = np.hypot(*(across - vertex).T) / 2
    return _Pairs(walls.region[axis.reflex], radius, vertex, across, np.zeros(len(radius)))


def _have_wide_contact(walls: Walls, vertices: Touching, rows: IntArray) -> BoolArray:
    """Whether all sides that nearly touch a disc make it the end of a taper (B)."""
    wide = np.zeros(len(rows), bool)
    region, centre = vertices.region[rows], vertices.centre_mm[rows]
    reach = contact_reach(vertices.radius_mm[rows])
    for chunk in chunks_of(20 * (walls.block_offset[region + 1] - walls.block_offset[region])):
        near = sides_near(walls, region[chunk], centre[chunk], reach[chunk])
        about = centre[chunk][near.place]
        away = nearest_on(walls, near.side, about) - about
        met = np.hypot(*away.T) <= reach[chunk][near.place]
        wide[chunk] = are_ends_of_tapers(near.place[met], away[met], len(chunk))
    return wide


def _tips(walls: Walls) -> _Pairs:
    """Corners sharper than 20 degrees between long sides (D), as discs of no size."""
    long = walls.length_mm >= TIP_SIDE_MM - _SAME_SIZE_MM
    at = np.flatnonzero((walls.turn_rad > TAPER_RAD + _SAME_SIZE_MM) & long & long[walls.before])
    nothing = np.zeros(len(at))
    return _Pairs(walls.region[at], nothing, walls.begin_mm[at], walls.begin_mm[at], nothing)


def _best(found: list[_Pairs], tolerance_mm: FloatArray, *, largest: bool = False) -> Discs:
    """The smallest disc of each region, or the largest; of those as large the one that lies lowest."""
    region, radius, begin, end, looseness_ = (np.concatenate(of) for of in zip(*found, strict=True))
    size = np.rint((-radius if largest else radius) / _SAME_SIZE_MM)
    x, y = np.rint((begin + end).T / _SAME_SIZE_MM)
    order = np.lexsort((x, y, size, region))
    order = order[np.diff(region[order], prepend=-1) != 0]
    best, at = _no_discs(len(tolerance_mm)), region[order]
    error_mm = 2 * (tolerance_mm[at] + FLATNESS_MM) + looseness_[order] * tolerance_mm[at]
    best.put(at, Discs(2 * radius[order], error_mm, begin[order], end[order]))
    return best


class Tongues(NamedTuple):
    """What juts into outlines from outside, held at one end only; NaN where nothing does. Shape (s,) each."""

    narrowest: Discs
    slenderness: FloatArray
    """How long its two walls run alongside each other, over the width."""


def tongues(outline: GeometryArray, tolerance_mm: FloatArray, reach_mm: float = REACH_MM) -> Tongues:
    """
    The smallest disc of kind A or B outside each outline that touches its outer ring on both sides.

    Args:
        outline: Polygons in mm; their holes are of no matter. Shape (s,).
        tolerance_mm: How far each can be from the true outline. Shape (s,).
        reach_mm: Largest diameter that is of interest.

    Returns:
        Diameters within 2 x (tolerance + 0.1 um), and slenderness, whose length ends at whole facets of
        flattened arcs; NaN where there is none within reach.
    """
    narrowest = _outer_discs(outline, tolerance_mm, reach_mm)
    slenderness = np.full(len(outline), np.nan)
    found = np.flatnonzero(~np.isnan(narrowest.diameter_mm))
    width_mm = narrowest.diameter_mm[found]
    length_mm = wall_lengths(outline[found], width_mm, narrowest.begin_mm[found], narrowest.end_mm[found])
    slenderness[found] = length_mm / width_mm
    return Tongues(narrowest, slenderness)


def _outer_discs(outline: GeometryArray, tolerance_mm: FloatArray, reach_mm: float) -> Discs:
    """The narrowest disc outside each outline."""
    rings = outer(outline)
    rows = np.flatnonzero(~are_convex(rings))
    discs = _no_discs(len(outline))
    for chunk in chunks_of(shapely.get_num_coordinates(rings[rows]).astype(np.int64), _SIDES_AT_ONCE):
        walls = walls_of(rings[rows[chunk]], outside=True)
        axis = medial(walls, np.full(len(chunk), reach_mm / 2 + _SAME_SIZE_MM))
        best = _best(_facing(walls, axis), tolerance_mm[rows[chunk]])
        best.put_ends(_best([_ends(axis.vertices)], tolerance_mm[rows[chunk]]))
        discs.put(rows[chunk], best)
    return discs
