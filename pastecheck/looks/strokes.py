"""Looks of strokes: each pen swept along a line or an arc."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import CodeArray, Drawing, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.dissolve import stacked
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import (
    FLATNESS_MM,
    arcs_between,
    contours,
    convex_cores,
    polygons,
    rounded,
    stroke_cores,
)
from pastecheck.geometry.pairs import placed
from pastecheck.limits import Limits
from pastecheck.looks.table import Columns, nothings, solids
from pastecheck.ragged import distinct_rows, offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]


def looks_of_strokes(drawing: Drawing, used: IntArray, limits: Limits) -> tuple[Columns, IntArray]:
    """
    The distinct looks of some strokes, and the look of each.

    Raises:
        TooMuchError: If an arc of two radii would take more to merge than limits allow.
    """
    strokes = drawing.strokes
    rows = np.column_stack(
        [strokes.aperture[used], strokes.end_nm[used], strokes.centre_nm[used], strokes.turn[used]]
    )
    kinds = distinct_rows(rows)
    distinct = used[kinds.first]
    looks = nothings(len(distinct))
    straight, arcs = np.flatnonzero(strokes.turn[distinct] == 0), np.flatnonzero(strokes.turn[distinct])
    if len(straight):
        looks.put(straight, _straight(drawing, distinct[straight]))
    if len(arcs):
        looks.put(arcs, _arcs(drawing, distinct[arcs], limits))
    return looks, kinds.inverse


class _Pens(NamedTuple):
    """The pen of each stroke: points of its core, one pen behind the other, and its radius."""

    core_mm: FloatArray
    size: IntArray
    radius_mm: FloatArray


def _pens(drawing: Drawing, rows: IntArray) -> _Pens:
    pen, inverse = np.unique(drawing.strokes.aperture[rows], return_inverse=True)
    marks = [drawing.apertures[row].primitives[0].marks[0] for row in pen.tolist()]
    size = np.array([len(mark.core_mm) for mark in marks], np.int64)
    core_mm = np.concatenate([mark.core_mm for mark in marks])
    return _Pens(
        core_mm[rows_of_runs(offsets(size)[:-1][inverse], size[inverse])],
        size[inverse],
        np.array([mark.radius_mm for mark in marks])[inverse],
    )


def _straight(drawing: Drawing, rows: IntArray) -> Columns:
    """The hull of the pen at both ends."""
    pens = _pens(drawing, rows)
    owner = np.repeat(np.arange(len(rows)), pens.size)
    end_mm = pens.core_mm + drawing.strokes.end_nm[rows[owner]] / NM_PER_MM
    order = np.argsort(np.concatenate([owner, owner]), kind="stable")
    both = np.concatenate([pens.core_mm, end_mm])[order]
    return solids(convex_cores(both, np.repeat(np.arange(len(rows)), 2 * pens.size)), pens.radius_mm)


def _arcs(drawing: Drawing, rows: IntArray, limits: Limits) -> Columns:
    """Round pens swept along arcs; nothing where a pen has no size."""
    looks, pens = nothings(len(rows)), _pens(drawing, rows)
    drawn = np.flatnonzero(pens.radius_mm > 0)
    if not len(drawn):
        return looks
    rows, radius_mm, offset_mm = rows[drawn], pens.radius_mm[drawn], pens.core_mm[offsets(pens.size)[drawn]]
    strokes = drawing.strokes
    path = _Paths(strokes.end_nm[rows] / NM_PER_MM, strokes.centre_nm[rows] / NM_PER_MM, strokes.turn[rows])
    middle = stroke_cores(*path)
    owner = np.repeat(np.arange(len(rows)), np.diff(middle.offset))
    core = np.asarray(shapely.linestrings(middle.vertex, indices=owner), dtype=object)
    outline = _swept(path, radius_mm, limits)
    outline, core = (placed(each, offset_mm[:, 0], offset_mm[:, 1]) for each in (outline, core))
    off_mm = np.full(len(rows), 2 * FLATNESS_MM)
    looks.put(drawn, Columns(outline, core, radius_mm, off_mm, np.zeros(len(rows), bool)))
    return looks


class _Paths(NamedTuple):
    """Arcs from (0, 0), as in `Strokes`, in mm."""

    end_mm: FloatArray
    centre_mm: FloatArray
    turn: CodeArray

    def rows(self, rows: IntArray) -> "_Paths":
        """Some of them."""
        return _Paths(self.end_mm[rows], self.centre_mm[rows], self.turn[rows])

    def beside(self, way_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Places beside both ends, so much farther from the centre; the centre itself where that is near."""
        first, last = -self.centre_mm, self.end_mm - self.centre_mm
        reach_mm = (np.hypot(*first.T)[:, None], np.hypot(*last.T)[:, None])
        return (
            self.centre_mm + first * np.maximum(1 + way_mm[:, None] / reach_mm[0], 0),
            self.centre_mm + last * np.maximum(1 + way_mm[:, None] / reach_mm[1], 0),
        )


def _swept(path: _Paths, radius_mm: FloatArray, limits: Limits) -> GeometryArray:
    """
    Outlines of discs swept along arcs. Shape (k,).

    A circle leaves a ring. Another arc leaves two arcs about its centre and half a circle about each end, or
    something less simple where the ends overlap or a disc reaches over the centre.
    """
    outline = np.full(len(radius_mm), shapely.Polygon(), dtype=object)
    arcs = arcs_between(np.zeros_like(path.end_mm), *path)
    reach_mm = np.minimum(arcs.first_mm, arcs.last_mm)
    off_mm = radius_mm * (arcs.last_mm - arcs.first_mm) ** 2
    spiral = off_mm > FLATNESS_MM * (reach_mm * arcs.sweep_rad) ** 2  # else off by half of that at most
    for row in np.flatnonzero(spiral).tolist():
        outline[row] = _swept_chord_by_chord(path.rows(np.array([row])), radius_mm[row], limits)
    circle = (path.end_mm == 0).all(axis=1) & ~spiral
    centre = np.asarray(shapely.points(path.centre_mm[circle]), dtype=object)
    outer, inner = (rounded(centre, arcs.first_mm[circle] + way * radius_mm[circle]) for way in (1, -1))
    outline[circle] = shapely.difference(outer, inner)
    for swept, rows in (
        (_bows, np.flatnonzero(~spiral & ~circle & (reach_mm > radius_mm))),
        (_sectors, np.flatnonzero(~spiral & ~circle)),
    ):
        left = rows[shapely.is_empty(outline[rows])]
        if len(left):
            found = swept(path.rows(left), radius_mm[left])
            valid = shapely.is_valid(found)
            outline[left[valid]] = found[valid]
    return outline


def _bows(path: _Paths, radius_mm: FloatArray) -> GeometryArray:
    """Two arcs about the centre, and half a circle about each end; invalid where the ends overlap."""
    (outer_first, outer_last), (inner_first, inner_last) = path.beside(radius_mm), path.beside(-radius_mm)
    begin_mm, turn = np.zeros_like(path.end_mm), path.turn
    return _contours(
        (outer_first, outer_last, inner_last, inner_first),
        (path.centre_mm, path.end_mm, path.centre_mm, begin_mm),
        (turn, turn, -turn, turn),
    )


def _sectors(path: _Paths, radius_mm: FloatArray) -> GeometryArray:
    """What lies beside the arc as seen from its centre, and a disc about each end."""
    (outer_first, outer_last), (inner_first, inner_last) = path.beside(radius_mm), path.beside(-radius_mm)
    straight = np.zeros_like(path.turn)
    to_centre = (inner_first == path.centre_mm).all(axis=1) | (inner_last == path.centre_mm).all(axis=1)
    between = _contours(
        (outer_first, outer_last, inner_last, inner_first),
        (path.centre_mm,) * 4,
        (path.turn, straight, np.where(to_centre, straight, -path.turn), straight),
    )
    ends = [
        rounded(np.asarray(shapely.points(end), dtype=object), radius_mm)
        for end in (np.zeros_like(path.end_mm), path.end_mm)
    ]
    return np.asarray(shapely.union_all(np.stack([between, *ends], axis=1), grid_size=GRID_MM, axis=1))


def _contours(
    corner: Sequence[FloatArray], centre: Sequence[FloatArray], turn: Sequence[CodeArray]
) -> GeometryArray:
    """Outlines of contours of four edges each. Shape (k,)."""
    offset = 4 * np.arange(len(turn[0]) + 1)
    corners, centres = (np.stack(columns, axis=1).reshape(-1, 2) for columns in (corner, centre))
    rings = contours(corners, centres, np.stack(turn, axis=1).reshape(-1), offset)
    return np.asarray(shapely.orient_polygons(polygons(rings)), dtype=object)


def _swept_chord_by_chord(path: _Paths, radius_mm: float, limits: Limits) -> shapely.Geometry:
    """The union of all chords, each with its radius."""
    vertex = stroke_cores(*path).vertex
    ends = np.stack([vertex[:-1], vertex[1:]], axis=1).reshape(-1, 2)
    chord = convex_cores(ends, np.repeat(np.arange(len(vertex) - 1), 2))
    one = rounded(chord[:1], np.array([radius_mm]))
    count = len(chord) * int(shapely.get_num_coordinates(one).sum())
    if count > limits.merged:
        what = f"an arc whose two radii differ would be merged of {count} vertices"
        raise TooMuchError(f"{what}; at most {limits.merged} are", "merged", 10 * count)
    outline = rounded(chord, np.full(len(chord), radius_mm))
    return stacked(outline, np.ones(len(outline), bool))
