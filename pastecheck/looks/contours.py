"""Looks of the contours of regions."""

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import Drawing, IntArray
from pastecheck.geometry import outlines
from pastecheck.geometry.mending import GRID_MM, mended
from pastecheck.geometry.outlines import FLATNESS_MM, Chains
from pastecheck.geometry.rounding import rounded_contours
from pastecheck.limits import Limits
from pastecheck.looks.table import Columns, crossing, nothings, only
from pastecheck.ragged import distinct_runs, offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_AT_ONCE = 5_000
"""Contours with arcs that are flattened at once: their vertices take memory."""
_FEWEST_CORNERS = 3


def looks_of_contours(drawing: Drawing, used: IntArray, limits: Limits) -> tuple[Columns, IntArray]:
    """The distinct looks of some contours, and the look of each."""
    contours = drawing.contours
    count = np.diff(contours.offset)[used]
    rows = rows_of_runs(contours.offset[:-1][used], count)
    table = np.column_stack([contours.point_nm[rows], contours.centre_nm[rows], contours.turn[rows]])
    offset = offsets(count)
    kinds = distinct_runs(table, offset)
    arcs = np.add.reduceat(np.abs(contours.turn[rows]).astype(np.int64), offset[:-1])[kinds.first]
    looks = nothings(len(kinds.first))
    straight, curved = np.flatnonzero(arcs == 0), np.flatnonzero(arcs)
    looks.put(straight, _straight(*_runs(table, offset, kinds.first[straight]), limits))
    for some in np.split(curved, range(_AT_ONCE, len(curved), _AT_ONCE)):
        looks.put(some, _curved(*_runs(table, offset, kinds.first[some]), limits))
    return looks, kinds.inverse


def _runs(table: IntArray, offset: IntArray, runs: IntArray) -> tuple[IntArray, IntArray]:
    """Some runs of a table, with offsets of their own."""
    count = np.diff(offset)[runs]
    return table[rows_of_runs(offset[runs], count)], offsets(count)


def _straight(table: IntArray, offset: IntArray, limits: Limits) -> Columns:
    """Looks of contours without arcs; nothing below three corners."""
    rings = Chains(table[:, :2] / NM_PER_MM, offset)
    solid, outline, crosses = _outlines(rings, GRID_MM, limits)
    looks = nothings(len(offset) - 1)
    core = only(outline, shapely.area(outline) > 0)
    zero = np.zeros(len(solid))
    looks.put(solid, Columns(outline, core, zero, zero, crosses))
    return looks


def _curved(table: IntArray, offset: IntArray, limits: Limits) -> Columns:
    """Looks of contours with arcs: the rounded shapes they are, or else their outlines."""
    contour = table[:, :2] / NM_PER_MM, table[:, 2:4] / NM_PER_MM, table[:, 4].astype(np.int8), offset
    _, outline, crosses = _outlines(outlines.contours(*contour), FLATNESS_MM, limits)
    known = rounded_contours(*contour, outline)
    return Columns(
        outline,
        only(known.core, known.known),
        np.where(known.known, known.radius_mm, 0.0),
        np.where(known.known, known.tolerance_mm, FLATNESS_MM),
        crosses,
    )


def _outlines(
    rings: Chains, slack_mm: float, limits: Limits
) -> tuple[IntArray, GeometryArray, NDArray[np.bool_]]:
    """Rows of rings of at least three corners, their outlines, and whether they cross themselves."""
    count = np.diff(rings.offset)
    solid = np.flatnonzero(count >= _FEWEST_CORNERS)
    if len(solid) < len(count):
        rings = Chains(rings.vertex[rows_of_runs(rings.offset[solid], count[solid])], offsets(count[solid]))
    if not len(solid):
        return solid, np.zeros(0, object), np.zeros(0, bool)
    outline = shapely.orient_polygons(mended(outlines.polygons(rings), limits))
    return solid, outline, crossing(rings, outline, slack_mm)
