"""Looks of strokes: straight ones many at once, arcs one by one."""

import numpy as np
import shapely

from pastecheck.drawing import Drawing, IntArray
from pastecheck.geometry.dissolve import Look, stacked
from pastecheck.geometry.outlines import FLATNESS_MM, convex_cores, rounded, stroke_core
from pastecheck.looks.table import Columns, columns_of, nothings, solids
from pastecheck.ragged import distinct_rows, rows_of_runs
from pastecheck.units import NM_PER_MM


def looks_of_strokes(drawing: Drawing, used: IntArray) -> tuple[Columns, IntArray]:
    """The distinct looks of some strokes, and the look of each."""
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
        looks.put(arcs, columns_of([_arc(drawing, row) for row in distinct[arcs].tolist()]))
    return looks, kinds.inverse


def _straight(drawing: Drawing, rows: IntArray) -> Columns:
    """Each pen swept from the beginning to the end: the hull of both places."""
    strokes = drawing.strokes
    pen, inverse = np.unique(strokes.aperture[rows], return_inverse=True)
    marks = [drawing.apertures[row].primitives[0].marks[0] for row in pen.tolist()]
    size = np.array([len(mark.core_mm) for mark in marks])
    count = size[inverse]
    begin = np.concatenate([mark.core_mm for mark in marks])[
        rows_of_runs((np.cumsum(size) - size)[inverse], count)
    ]
    end = begin + np.repeat(strokes.end_nm[rows] / NM_PER_MM, count, axis=0)
    owner = np.repeat(np.arange(len(rows)), count)
    order = np.argsort(np.concatenate([owner, owner]), kind="stable")
    core = convex_cores(np.concatenate([begin, end])[order], np.repeat(np.arange(len(rows)), 2 * count))
    return solids(core, np.array([mark.radius_mm for mark in marks])[inverse])


def _arc(drawing: Drawing, row: int) -> Look:
    strokes = drawing.strokes
    mark = drawing.apertures[strokes.aperture[row]].primitives[0].marks[0]
    if mark.radius_mm == 0:
        return Look(shapely.Polygon(), None, 0.0, 0.0)
    end_mm, centre_mm = strokes.end_nm[row] / NM_PER_MM, strokes.centre_nm[row] / NM_PER_MM
    middle = stroke_core(end_mm, centre_mm, int(strokes.turn[row])) + mark.core_mm[0]
    ends = np.stack([middle[:-1], middle[1:]], axis=1).reshape(-1, 2)
    chord = convex_cores(ends, np.repeat(np.arange(len(middle) - 1), 2))
    outline = rounded(chord, np.full(len(chord), mark.radius_mm))
    return Look(
        stacked(outline, np.ones(len(outline), bool)),
        shapely.LineString(middle),
        mark.radius_mm,
        2 * FLATNESS_MM,
    )
