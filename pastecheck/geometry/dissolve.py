"""Dark and clear polygons -> separate, valid polygons; and standard shapes known again after merging."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import FLATNESS_MM, Solid, convex_core
from pastecheck.geometry.uniting import Work, areas_only, united
from pastecheck.ragged import distinct

GeometryArray = NDArray[np.object_]

_SAME_AREA = 0.05 * FLATNESS_MM
"""Part of the perimeter by which areas may differ and the outlines still be called the same, in mm."""

TOUCH_MM = 1.5e-6
"""Outlines at most this far apart touch: places are whole nanometres, rounded once each."""
ALONG_MM = 0.01
"""Outlines that touch along less than this touch in a point."""


_AGAIN = 5
"""What is merged with one thing after another costs so many times what a union of all at once does."""


class Look(NamedTuple):
    """An outline in mm, and the solid it is, where it is one."""

    outline: shapely.Geometry
    """Curves flattened; polygon or multipolygon, empty where nothing has an area."""
    core: shapely.Geometry | None
    """Where given, every point within `radius_mm` of it makes the outline."""
    radius_mm: float
    tolerance_mm: float
    """How far core and radius (else: the outline) can be from what was drawn."""


class Part(NamedTuple):
    """One polygon left after composing, and the rows of the things that lie in it."""

    look: Look
    members: IntArray


def column_of(geometries: Sequence[shapely.Geometry | None]) -> GeometryArray:
    """Geometries as an array of objects. Shape (n,)."""
    column = np.empty(len(geometries), dtype=object)
    column[:] = geometries
    return column


def polygons_of(geometry: shapely.Geometry) -> GeometryArray:
    """The polygons of a geometry with an area, whatever else it holds."""
    parts = shapely.get_parts(shapely.get_parts([geometry]))
    parts = shapely.get_parts(parts)
    polygons = parts[(shapely.get_dimensions(parts) == 2) & (shapely.area(parts) > 0)]
    return np.asarray(shapely.orient_polygons(polygons), dtype=object)


def composed(outlines: GeometryArray, adds: BoolArray, work: Work | None = None) -> shapely.Geometry:
    """
    What is left when outlines are added and cut away in order.

    Args:
        outlines: Polygons, in drawing order. Shape (n,).
        adds: False where an outline cuts. Shape (n,).
        work: Counts it, and knows how much more complicated it may get.

    Raises:
        TooMuchError: If it gets more complicated.
    """
    image: shapely.Geometry = shapely.Polygon()
    work = work or Work()
    begin = np.flatnonzero(np.diff(adds, prepend=~adds[:1]))
    for rows in np.split(np.arange(len(adds)), begin[1:]):
        layer = united(outlines[rows], work)
        work.add(*[image] * _AGAIN)
        if adds[rows[0]]:
            image = layer if shapely.is_empty(image) else shapely.union(image, layer, grid_size=GRID_MM)
        elif not shapely.is_empty(image):
            image = shapely.difference(image, layer, grid_size=GRID_MM)
        image = areas_only(image)
    return image


def stacked(outlines: GeometryArray, adds: BoolArray) -> shapely.Geometry:
    """As `composed`, of outlines of which some may be empty: a polygon, or else a multipolygon."""
    shown = ~shapely.is_empty(outlines)
    if not shown.any():
        return shapely.Polygon()
    polygons = outlines[shown]
    if len(polygons) > 1 or not adds[shown].all():
        polygons = polygons_of(composed(polygons, adds[shown]))
    one: shapely.Geometry = polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(list(polygons))
    return one


def dissolved(looks: Sequence[Look], adds: BoolArray, work: Work | None = None) -> list[Part]:
    """
    Separate polygons that a group of overlapping things leaves.

    Args:
        looks: Where they were drawn, in drawing order. Shape (n,).
        adds: False where a thing cuts what was drawn before it. Shape (n,).
        work: As of `composed`.

    Returns:
        Parts in no particular order, each with the adding things that it holds.
    """
    flat_mm = max(GRID_MM, *(flatness_of(look) for look in looks))
    outlines = column_of([look.outline for look in looks])
    if len(looks) == 1 and adds[0]:  # one thing of several parts
        return [Part(merged(one, [], flat_mm), np.zeros(1, np.int64)) for one in polygons_of(outlines[0])]
    polygons = polygons_of(composed(outlines, adds, work))
    if adds.all():
        polygons = joined(polygons)
    else:  # where two curves meet, chords leave crumbs that nobody drew
        polygons = polygons[shapely.area(polygons) > flat_mm * shapely.length(polygons)]
    dark = np.flatnonzero(adds)
    tree = shapely.STRtree(outlines[dark])
    part, hit = _lies_in(polygons, outlines) if adds.all() else _overlapping(polygons, outlines[dark], tree)
    parts = []
    for row, outline in enumerate(polygons):
        members = distinct(dark[hit[part == row]])
        if not len(members):  # a crumb of rounding, smaller than what tells an overlap from a touch
            members = distinct(dark[tree.query_nearest(outline)])
        of_part = [looks[member] for member in members.tolist()]
        parts.append(Part(merged(outline, of_part if adds.all() else [], flat_mm), members))
    return parts


def joined(polygons: GeometryArray) -> GeometryArray:
    """
    Polygons less the gaps along their sides that are no wider than the rounding of places.

    What abuts in a file of inches may lie up to a nanometre apart in whole nanometres.
    """
    if len(polygons) < 2:
        return polygons
    one, other = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=TOUCH_MM)
    one, other = one[one < other], other[one < other]
    grown = shapely.buffer(polygons, GRID_MM, join_style="mitre")
    gap = shapely.intersection(grown[one], grown[other])
    gap = gap[shapely.length(gap) > 2 * ALONG_MM]
    if not len(gap):
        return polygons
    whole = shapely.union_all(np.concatenate([polygons, gap]), grid_size=GRID_MM)
    return polygons_of(shapely.simplify(whole, 2 * GRID_MM))


def _lies_in(polygons: GeometryArray, outlines: GeometryArray) -> tuple[IntArray, IntArray]:
    """Rows of polygons, and of the outlines that lie in them, where nothing was cut: each piece in one."""
    if len(polygons) == 1:
        return np.zeros(len(outlines), np.int64), np.arange(len(outlines))
    piece, owner = shapely.get_parts(outlines, return_index=True)
    part, hit = shapely.STRtree(shapely.point_on_surface(piece)).query(polygons, predicate="intersects")
    return part, owner[hit]


def _overlapping(
    polygons: GeometryArray, outlines: GeometryArray, tree: shapely.STRtree
) -> tuple[IntArray, IntArray]:
    """Rows of polygons, and of the outlines that share an area with them."""
    part, hit = tree.query(polygons, predicate="intersects")
    lies_in = _overlap(polygons[part], outlines[hit])
    return part[lies_in], hit[lies_in]


def _overlap(polygons: GeometryArray, outlines: GeometryArray) -> BoolArray:
    """Whether pairs share more than what rounding leaves along an edge or at a corner. Shape (k,)."""
    common: BoolArray = shapely.area(shapely.intersection(polygons, outlines)) > GRID_MM * shapely.length(
        outlines
    )
    return common


def flatness_of(look: Look) -> float:
    """How far the outline of a look can be from what was drawn, in mm."""
    return max(look.tolerance_mm, FLATNESS_MM if look.radius_mm else 0.0)


def merged(outline: shapely.Geometry, of: Sequence[Look], flat_mm: float) -> Look:
    """The look of a merged outline: the standard shape it is, or else its polygon."""
    if isinstance(outline, shapely.Polygon) and of and all(look.core is not None for look in of):
        known = known_again(outline, [look.core for look in of], np.array([look.radius_mm for look in of]))
        if known:
            return Look(outline, known.core, known.radius_mm, FLATNESS_MM)
    return Look(outline, outline if flat_mm <= GRID_MM else None, 0.0, flat_mm)


def known_again(
    outline: shapely.Polygon, core: Sequence[shapely.Geometry | None], radius_mm: FloatArray
) -> Solid | None:
    """
    The rounded convex shape that an outline is, if it is one.

    Rounded rectangles come as macros of rectangles and discs, as strokes side by side, as regions with arcs.
    The candidate is the hull of all cores of the largest radius. It is accepted where every vertex of the
    outline and the middle of every edge lie on its edge, and the areas agree: an outline that differs by more
    than about 0.5 um anywhere fails one or the other.

    Args:
        outline: One polygon, in mm.
        core: Cores of the solids it was made of. Length n.
        radius_mm: Their radii. Shape (n,).
    """
    radius = float(np.max(radius_mm, initial=0.0))
    if radius == 0 or shapely.get_num_interior_rings(outline):
        return None
    widest = column_of(core)[np.abs(radius_mm - radius) < GRID_MM]
    hull = convex_core(shapely.get_coordinates(widest))
    area, perimeter = steiner(column_of([hull]), np.array([radius]))
    if abs(outline.area - area[0]) > _SAME_AREA * perimeter[0]:
        return None
    vertex = shapely.get_coordinates(outline)
    middle = (vertex[1:] + vertex[:-1]) / 2
    points = np.asarray(shapely.points(np.concatenate([vertex, middle])), dtype=object)
    shapely.prepare(hull)  # distances are not found by an index, only whether they are within a bound
    known = shapely.dwithin(hull, points, radius + 2 * FLATNESS_MM).all() and not (
        radius > 2 * FLATNESS_MM and shapely.dwithin(hull, points, radius - 2 * FLATNESS_MM).any()
    )
    shapely.destroy_prepared(hull)
    return Solid(hull, radius) if known else None


def steiner(core: GeometryArray, radius_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Area and perimeter of all points within a radius of convex cores, in closed form. Shape (n,), mm2 and mm.

    A + P r + pi r² and P + 2 pi r, where the perimeter of a line counts both its sides. A core of radius 0
    may have any shape.

    Source: Steiner's formula for parallel bodies of convex sets in the plane (integral geometry; from memory,
    tested against the closed forms of circle, obround and rounded rectangle).
    """
    around = shapely.length(core) * np.where(shapely.get_dimensions(core) == 1, 2.0, 1.0)
    area = shapely.area(core) + around * radius_mm + np.pi * radius_mm**2
    return area, around + 2 * np.pi * radius_mm


def is_convex(look: Look) -> bool:
    """Whether Steiner's formula holds for a look: its core has no radius, or is convex."""
    bent = isinstance(look.core, shapely.LineString) and len(look.core.coords) > 2
    return not (bent and look.radius_mm)


def connected(count: int, first: IntArray, second: IntArray) -> IntArray:
    """
    Lowest row that each row is connected with, directly or through others. Shape (count,).

    Args:
        count: Number of rows.
        first: One row of each pair that is connected. Shape (k,).
        second: The other row. Shape (k,).
    """
    root = np.arange(count, dtype=np.int64)
    while True:
        low, high = root[first], root[second]
        apart = low != high
        if not apart.any():
            return root
        low, high = low[apart], high[apart]
        np.minimum.at(root, np.maximum(low, high), np.minimum(low, high))
        while not np.array_equal(root, above := root[root]):
            root = above
