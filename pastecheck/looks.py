"""
What the objects of a drawing look like: each distinct flash, stroke and contour once, as geometry.

A layer of a million objects has some hundred looks. Whatever has a core and a radius (see `Shapes`) keeps
them, so that it can be measured without its flattened curves.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import Aperture, BoolArray, Drawing, FloatArray, IntArray, Kind, Mark, Primitive
from pastecheck.geometry import outlines
from pastecheck.geometry.dissolve import (
    GRID_MM,
    Look,
    column_of,
    composed,
    flatness_of,
    mended,
    merged,
    polygons_of,
)
from pastecheck.geometry.outlines import FLATNESS_MM, Solid
from pastecheck.geometry.pairs import placed
from pastecheck.ragged import distinct_rows, distinct_runs, rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]


@dataclass(frozen=True, eq=False, slots=True)
class Looks:
    """Distinct looks, each about its own origin; all columns have shape (k,)."""

    outline: GeometryArray
    """Polygon or multipolygon in mm; empty where nothing has an area."""
    core: GeometryArray
    """None where a look is no solid."""
    radius_mm: FloatArray
    tolerance_mm: FloatArray
    bounds_nm: IntArray
    """Shape (k, 4), never too small."""
    whole: BoolArray
    """Whether the outline is one polygon, so that it can be an opening by itself."""
    crosses: BoolArray
    """Whether a contour or a macro's outline crosses itself, so that readers differ about its area."""

    def row(self, k: int) -> Look:
        """One look."""
        return Look(self.outline[k], self.core[k], float(self.radius_mm[k]), float(self.tolerance_mm[k]))

    def placed(self, rows: IntArray, x_mm: FloatArray, y_mm: FloatArray) -> list[Look]:
        """Looks moved to their places. Shape (k,)."""
        outline, core = placed(self.outline[rows], x_mm, y_mm), self.core[rows]
        solid = np.array([one is not None for one in core], dtype=bool)
        core[solid] = placed(core[solid], x_mm[solid], y_mm[solid])
        radius_mm, tolerance_mm = self.radius_mm[rows].tolist(), self.tolerance_mm[rows].tolist()
        return [Look(*one) for one in zip(outline, core, radius_mm, tolerance_mm, strict=True)]


NOTHING = Look(shapely.Polygon(), None, 0.0, 0.0)


def looks_of(drawing: Drawing) -> tuple[Looks, IntArray]:
    """The distinct looks of a drawing's objects, and the look of each object."""
    look = np.zeros(len(drawing), np.int64)
    found: list[Look] = []
    crosses: list[bool] = []
    makers = ((Kind.FLASH, _flashes), (Kind.STROKE, _strokes), (Kind.REGION, _contours))
    for kind, looks_of_kind in makers:
        rows = np.flatnonzero(drawing.kind == kind)
        if len(rows):
            used, inverse = np.unique(drawing.what[rows], return_inverse=True)
            looks, of_used, of_kind_crosses = looks_of_kind(drawing, used)
            look[rows] = len(found) + of_used[inverse]
            found += looks
            crosses += of_kind_crosses
    return _table(found, crosses), look


def _table(found: list[Look], crosses: list[bool]) -> Looks:
    outline, core = column_of([one.outline for one in found]), column_of([one.core for one in found])
    bounds = np.nan_to_num(shapely.bounds(outline).reshape(-1, 4)) * NM_PER_MM
    grown = np.concatenate([np.floor(bounds[:, :2]) - 1, np.ceil(bounds[:, 2:]) + 1], axis=1)
    return Looks(
        outline,
        core,
        np.array([one.radius_mm for one in found]),
        np.array([one.tolerance_mm for one in found]),
        grown.astype(np.int64),
        (shapely.get_type_id(outline) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(outline),
        np.array(crosses, dtype=bool),
    )


def _crosses_itself(ring_mm: FloatArray, mended_outline: shapely.Geometry, slack_mm: float) -> bool:
    """
    Whether a ring encloses another area by the way it turns than by its mended outline (odd counts inside).

    Cut-ins, whose sides run there and back along the same line, have the same area either way.

    Args:
        ring_mm: Corners; the last one leads to the first. Shape (k, 2).
        mended_outline: What the ring was made into.
        slack_mm: How far the ring may be from what was drawn.
    """
    x, y = ring_mm.T
    turning_mm2 = abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2
    length_mm = float(np.hypot(*(np.roll(ring_mm, -1, axis=0) - ring_mm).T).sum())
    return abs(turning_mm2 - float(shapely.area(mended_outline))) > slack_mm * length_mm


def _flashes(drawing: Drawing, used: IntArray) -> tuple[list[Look], IntArray, list[bool]]:
    apertures = [drawing.apertures[row] for row in used.tolist()]
    crosses = [
        any(_crosses_itself(mark.core_mm, _solid(mark).core, GRID_MM) for mark in _cores(one))
        for one in apertures
    ]
    return [_look_of_aperture(one) for one in apertures], np.arange(len(used)), crosses


def _cores(aperture: Aperture) -> list[Mark]:
    return [mark for one in aperture.primitives for mark in one.marks if len(mark.core_mm) > 2]


def _look_of_aperture(aperture: Aperture) -> Look:
    parts = [[_look_of_solid(_solid(mark)) for mark in one.marks] for one in aperture.primitives]
    marks = [mark for one in aperture.primitives for mark in one.marks]
    every = [look for looks in parts for look in looks]
    only_adds = all(mark.adds for mark in marks) and all(one.adds for one in aperture.primitives)
    if only_adds and len(every) == 1:
        return every[0]
    if only_adds:
        image = _stack([(True, look.outline) for look in every])
    else:
        layers = zip(aperture.primitives, parts, strict=True)
        image = _stack([(one.adds, _stack(_layers(one, looks))) for one, looks in layers])
    flat_mm = max([GRID_MM, *(flatness_of(look) for look in every)])
    return merged(
        image, [look for look in every if only_adds and not shapely.is_empty(look.outline)], flat_mm
    )


def _layers(primitive: Primitive, looks: list[Look]) -> list[tuple[bool, shapely.Geometry]]:
    return [(mark.adds, look.outline) for mark, look in zip(primitive.marks, looks, strict=True)]


def _stack(layers: list[tuple[bool, shapely.Geometry]]) -> shapely.Geometry:
    shown = [(adds, outline) for adds, outline in layers if not shapely.is_empty(outline)]
    if not shown:
        return shapely.Polygon()
    if len(shown) == 1 and shown[0][0]:
        return shown[0][1]
    image = composed(column_of([outline for _, outline in shown]), np.array([adds for adds, _ in shown]))
    polygons = polygons_of(image)
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(list(polygons))


def _solid(mark: Mark) -> Solid:
    if len(mark.core_mm) < 3:
        return Solid(outlines.convex_core(mark.core_mm), mark.radius_mm)
    polygon = column_of([shapely.Polygon(mark.core_mm)])
    return Solid(shapely.orient_polygons(mended(polygon)[0]), mark.radius_mm)


def _look_of_solid(solid: Solid) -> Look:
    """A look that is exact: only its picture is flattened."""
    if solid.radius_mm == 0:
        flat = shapely.area(solid.core) > 0
        return Look(solid.core if flat else shapely.Polygon(), solid.core if flat else None, 0.0, 0.0)
    return Look(outlines.rounded(*solid), solid.core, solid.radius_mm, 0.0)


def _strokes(drawing: Drawing, used: IntArray) -> tuple[list[Look], IntArray, list[bool]]:
    strokes = drawing.strokes
    rows = np.column_stack(
        [strokes.aperture[used], strokes.end_nm[used], strokes.centre_nm[used], strokes.turn[used]]
    )
    kinds = distinct_rows(rows)
    looks = [_look_of_stroke(drawing, row) for row in used[kinds.first].tolist()]
    return looks, kinds.inverse, [False] * len(looks)


def _look_of_stroke(drawing: Drawing, row: int) -> Look:
    strokes = drawing.strokes
    mark = drawing.apertures[strokes.aperture[row]].primitives[0].marks[0]
    end_mm, centre_mm = strokes.end_nm[row] / NM_PER_MM, strokes.centre_nm[row] / NM_PER_MM
    turn = int(strokes.turn[row])
    if turn == 0:
        swept = np.concatenate([mark.core_mm, mark.core_mm + end_mm])
        return _look_of_solid(Solid(outlines.convex_core(swept), mark.radius_mm))
    middle = outlines.stroke_core(end_mm, centre_mm, turn) + mark.core_mm[0]
    if mark.radius_mm == 0:
        return NOTHING
    chords = [
        outlines.rounded(outlines.convex_core(middle[k : k + 2]), mark.radius_mm)
        for k in range(len(middle) - 1)
    ]
    return Look(
        _stack([(True, chord) for chord in chords]),
        shapely.LineString(middle),
        mark.radius_mm,
        2 * FLATNESS_MM,
    )


def _contours(drawing: Drawing, used: IntArray) -> tuple[list[Look], IntArray, list[bool]]:
    contours = drawing.contours
    count = np.diff(contours.offset)[used]
    rows = rows_of_runs(contours.offset[:-1][used], count)
    table = np.column_stack([contours.point_nm[rows], contours.centre_nm[rows], contours.turn[rows]])
    offset = np.concatenate([[0], np.cumsum(count)])
    kinds = distinct_runs(table, offset)
    curved = np.add.reduceat(np.abs(contours.turn[rows]).astype(np.int64), offset[:-1])[kinds.first] > 0
    looks: list[Look] = [NOTHING] * len(curved)
    crosses = [False] * len(curved)
    straight = np.flatnonzero(~curved)
    polygons, are_mended = _straight_contours(table, offset, kinds.first[straight])
    for kind, outline in zip(straight, polygons, strict=True):
        looks[kind] = Look(outline, outline if outline.area > 0 else None, 0.0, 0.0)
    for kind in straight[are_mended]:
        run = table[offset[kinds.first[kind]] : offset[kinds.first[kind] + 1]]
        crosses[kind] = _crosses_itself(run[:, :2] / NM_PER_MM, looks[kind].outline, GRID_MM)
    for kind in np.flatnonzero(curved):
        run = table[offset[kinds.first[kind]] : offset[kinds.first[kind] + 1]]
        looks[kind], crosses[kind] = _look_of_curved_contour(run)
    return looks, kinds.inverse, crosses


def _straight_contours(table: IntArray, offset: IntArray, runs: IntArray) -> tuple[GeometryArray, BoolArray]:
    """Polygons of contours without arcs (empty below three corners), and whether each was mended."""
    count = np.diff(offset)[runs]
    result = np.full(len(runs), shapely.Polygon(), dtype=object)
    are_mended = np.zeros(len(runs), bool)
    solid = np.flatnonzero(count > 2)
    if len(solid):
        rows = rows_of_runs(offset[runs[solid]], count[solid])
        ring = np.repeat(np.arange(len(solid)), count[solid])
        rings = shapely.linearrings(table[rows, :2] / NM_PER_MM, indices=ring)
        polygons = np.asarray(shapely.polygons(rings), dtype=object)
        are_mended[solid] = ~shapely.is_valid(polygons)
        result[solid] = shapely.orient_polygons(mended(polygons))
    return result, are_mended


def _look_of_curved_contour(run: IntArray) -> tuple[Look, bool]:
    """Its look, and whether it crosses itself."""
    point_mm, centre_mm, turn = run[:, :2] / NM_PER_MM, run[:, 2:4] / NM_PER_MM, run[:, 4].astype(np.int8)
    ring = outlines.contour(point_mm, centre_mm, turn)
    if len(ring) < 3:
        return NOTHING, False
    polygon = shapely.orient_polygons(mended(column_of([shapely.Polygon(ring)]))[0])
    arc = np.flatnonzero(turn)
    radius_mm = np.hypot(*(point_mm[arc] - centre_mm[arc]).T)
    corners = [
        Look(polygon, shapely.Point(c), float(r), 0.0) for c, r in zip(centre_mm[arc], radius_mm, strict=True)
    ]
    return merged(polygon, corners, FLATNESS_MM), _crosses_itself(ring, polygon, FLATNESS_MM)
