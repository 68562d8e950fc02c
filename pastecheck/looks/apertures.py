"""Looks of apertures: all marks at once, and what they make together as far as that is a standard shape."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import Aperture, BoolArray, FloatArray, IntArray, Mark
from pastecheck.geometry.dissolve import Look, column_of, stacked
from pastecheck.geometry.mending import GRID_MM, mended
from pastecheck.geometry.outlines import FLATNESS_MM, Chains, convex_cores, polygons, rounded
from pastecheck.geometry.rounding import rounded_unions
from pastecheck.limits import Limits
from pastecheck.looks.table import Columns, columns_of, crossing, nothings, only, solids
from pastecheck.ragged import offsets, rows_of_runs

GeometryArray = NDArray[np.object_]

_FEWEST_CORNERS = 3


class _Marks(NamedTuple):
    """The marks of apertures, one aperture behind the other."""

    core: GeometryArray
    """None where a mark has no area."""
    radius_mm: FloatArray
    crosses: BoolArray
    adds: BoolArray
    primitive: IntArray
    """Numbered through all apertures."""
    primitive_adds: BoolArray
    """Of the primitive that a mark belongs to."""
    offset: IntArray
    """Aperture k has the marks offset[k] to offset[k + 1]."""


def looks_of_apertures(apertures: Sequence[Aperture], limits: Limits) -> Columns:
    """What flashes of apertures look like. Shape (k,) each."""
    marks = _marks(apertures, limits)
    looks = nothings(len(apertures))
    count = np.diff(marks.offset)
    some = np.flatnonzero(count)
    cuts = np.zeros(len(count), bool)
    cuts[some] = ~np.logical_and.reduceat(marks.adds & marks.primitive_adds, marks.offset[:-1][some])
    single = np.flatnonzero((count == 1) & ~cuts)
    looks.put(single, _looks_of_marks(marks, marks.offset[single]))
    several = np.flatnonzero((count > 1) & ~cuts)
    rest = np.concatenate([np.flatnonzero(cuts), several[~_put_rounded(looks, marks, several)]])
    looks.put(rest, columns_of([_composite(marks, row, cuts=bool(cuts[row])) for row in rest.tolist()]))
    looks.crosses[some] = np.logical_or.reduceat(marks.crosses, marks.offset[:-1][some])
    return looks


def _marks(apertures: Sequence[Aperture], limits: Limits) -> _Marks:
    primitives = [primitive for aperture in apertures for primitive in aperture.primitives]
    marks = [mark for primitive in primitives for mark in primitive.marks]
    size = np.array([len(primitive.marks) for primitive in primitives], np.int64)
    primitive = np.repeat(np.arange(len(primitives)), size)
    first = offsets(np.array([len(aperture.primitives) for aperture in apertures], np.int64))
    return _Marks(
        *_solids_of(marks, limits),
        np.array([mark.adds for mark in marks], bool),
        primitive,
        np.array([primitive.adds for primitive in primitives], bool)[primitive],
        offsets(size)[first],
    )


def _solids_of(marks: Sequence[Mark], limits: Limits) -> tuple[GeometryArray, FloatArray, BoolArray]:
    """Core and radius of every mark, and whether it crosses itself."""
    core = np.full(len(marks), None, dtype=object)
    radius_mm = np.array([mark.radius_mm for mark in marks], np.float64)
    crosses = np.zeros(len(marks), bool)
    count = np.array([len(mark.core_mm) for mark in marks], np.int64)
    offset = offsets(count)
    corner = np.concatenate([np.zeros((0, 2)), *(mark.core_mm for mark in marks)])

    def chains(rows: IntArray) -> Chains:
        return Chains(corner[rows_of_runs(offset[rows], count[rows])], offsets(count[rows]))

    simple, polygonal = np.flatnonzero(count < _FEWEST_CORNERS), np.flatnonzero(count >= _FEWEST_CORNERS)
    if len(simple):
        core[simple] = convex_cores(chains(simple).vertex, np.repeat(np.arange(len(simple)), count[simple]))
    if len(polygonal):
        rings = chains(polygonal)
        core[polygonal] = shapely.orient_polygons(mended(polygons(rings), limits))
        crosses[polygonal] = crossing(rings, core[polygonal], GRID_MM)
    return only(core, (radius_mm > 0) | (shapely.area(core) > 0)), radius_mm, crosses


def _looks_of_marks(marks: _Marks, rows: IntArray) -> Columns:
    """What some marks look like by themselves."""
    looks = nothings(len(rows))
    drawn = np.flatnonzero(shapely.is_geometry(marks.core[rows]))
    looks.put(drawn, solids(marks.core[rows[drawn]], marks.radius_mm[rows[drawn]]))
    return looks


def _put_rounded(looks: Columns, marks: _Marks, apertures: IntArray) -> BoolArray:
    """Put those whose marks make a rounded convex shape together; whether each did."""
    found = np.zeros(len(apertures), bool)
    count = np.diff(marks.offset)[apertures]
    mark, owner = rows_of_runs(marks.offset[apertures], count), np.repeat(np.arange(len(apertures)), count)
    drawn = shapely.is_geometry(marks.core[mark])
    mark, owner = mark[drawn], owner[drawn]
    if not len(mark):
        return found
    group, of_group = np.unique(owner, return_inverse=True)
    known, core, radius_mm, tolerance_mm = rounded_unions(marks.core[mark], marks.radius_mm[mark], of_group)
    outline = rounded(core[known], radius_mm[known])
    none_crosses = np.zeros(len(outline), bool)
    looks.put(
        apertures[group[known]],
        Columns(outline, core[known], radius_mm[known], tolerance_mm[known], none_crosses),
    )
    found[group[known]] = True
    return found


def _composite(marks: _Marks, aperture: int, *, cuts: bool) -> Look:
    """What is left when the marks of an aperture are added and cut in order, primitive by primitive."""
    rows = np.arange(marks.offset[aperture], marks.offset[aperture + 1])
    looks = _looks_of_marks(marks, rows)
    if cuts:
        begin = np.flatnonzero(np.diff(marks.primitive[rows], prepend=-1))
        primitives = np.split(np.arange(len(rows)), begin[1:])
        layers = [stacked(looks.outline[at], marks.adds[rows[at]]) for at in primitives]
        image = stacked(column_of(layers), marks.primitive_adds[rows[begin]])
    else:
        image = stacked(looks.outline, np.ones(len(rows), bool))
    flat = not looks.radius_mm.any()
    return Look(image, image if flat else None, 0.0, GRID_MM if flat else FLATNESS_MM)
