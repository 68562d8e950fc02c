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

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.geometry.discs import (
    Discs,
    best_of,
    ends_of_tapers,
    facing_discs,
    no_discs,
    of_axis,
    tips,
)
from pastecheck.geometry.facing_rules import TIP_SIDE_MM
from pastecheck.geometry.shrinking import ConvexDiscs, shrunk
from pastecheck.geometry.touching import medial
from pastecheck.geometry.walls import chunks_of, corners_of, walls_of
from pastecheck.ragged import distinct, offsets

GeometryArray = NDArray[np.object_]

_SIDES_AT_ONCE = 50_000
_CELLS_AT_ONCE = 2_000_000
_HULL_LACKS = 1e-12
_SAME_SIZE_MM = 1e-6


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
        the true outline has the same facing discs, and farther where they touch vertices in which curves meet
        almost as tangents. All within r of a convex core has its discs, r larger.

    Cost:
        Convex shapes of k corners: k², in arrays over all of equally many. Others: n root n for n sides, in
        arrays over all of them.
    """
    discs = InnerDiscs(no_discs(len(core)), no_discs(len(core)))
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
    narrowest, end, largest = (no_discs(len(core)) for _ in range(3))
    for corner_count in distinct(count).tolist():
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


def _odd_discs(core: GeometryArray, _: FloatArray, tolerance_mm: FloatArray) -> InnerDiscs:
    """Discs in polygons of any form."""
    inner = InnerDiscs(no_discs(len(core)), no_discs(len(core)))
    for chunk in chunks_of(shapely.get_num_coordinates(core).astype(np.int64), _SIDES_AT_ONCE):
        walls = walls_of(core[chunk])
        axis = medial(walls, _most_mm(core[chunk]))
        found = [*facing_discs(walls, axis), tips(walls)]
        largest = best_of([of_axis(axis.vertices), *found], walls, tolerance_mm[chunk], largest=True)
        narrowest = best_of(found, walls, tolerance_mm[chunk])
        none = np.flatnonzero(np.isnan(narrowest.diameter_mm))
        narrowest.put(none, largest.rows(none))
        narrowest.put_ends(best_of([ends_of_tapers(axis.vertices)], walls, tolerance_mm[chunk]))
        inner.narrowest.put(chunk, narrowest)
        inner.largest.put(chunk, largest)
    return inner


def _most_mm(polygons: GeometryArray) -> FloatArray:
    """Radii that no disc in a polygon exceeds."""
    low_x, low_y, high_x, high_y = shapely.bounds(polygons).T
    least = np.minimum(high_x - low_x, high_y - low_y) / 2
    most: FloatArray = np.minimum(least, np.sqrt(shapely.area(polygons) / np.pi)) + _SAME_SIZE_MM
    return most
