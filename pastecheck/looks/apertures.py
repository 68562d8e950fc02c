"""Looks of apertures: all marks at once, and what they make together as far as that is a standard shape."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import Aperture, BoolArray, IntArray, Mark
from pastecheck.geometry.dissolve import GRID_MM, Look, column_of, flatness_of, mended, merged, stacked
from pastecheck.geometry.outlines import Chains, convex_cores, polygons, rounded
from pastecheck.geometry.rounding import rounded_unions
from pastecheck.looks.table import Columns, columns_of, crossing, nothings, solids
from pastecheck.ragged import offsets, rows_of_runs

GeometryArray = NDArray[np.object_]

_FEWEST_CORNERS = 3


class _Marks(NamedTuple):
    """The marks of apertures, one aperture behind the other."""

    looks: Columns
    adds: BoolArray
    primitive: IntArray
    """Numbered through all apertures."""
    primitive_adds: BoolArray
    """Of the primitive that a mark belongs to."""
    offset: IntArray
    """Aperture k has the marks offset[k] to offset[k + 1]."""


def looks_of_apertures(apertures: Sequence[Aperture]) -> Columns:
    """What flashes of apertures look like. Shape (k,) each."""
    marks = _marks(apertures)
    looks = nothings(len(apertures))
    count = np.diff(marks.offset)
    some = np.flatnonzero(count)
    cuts = np.zeros(len(count), bool)
    cuts[some] = ~np.logical_and.reduceat(marks.adds & marks.primitive_adds, marks.offset[:-1][some])
    single = np.flatnonzero((count == 1) & ~cuts)
    looks.put(single, marks.looks.take(marks.offset[single]))
    several = np.flatnonzero((count > 1) & ~cuts)
    rest = np.concatenate([np.flatnonzero(cuts), several[~_put_rounded(looks, marks, several)]])
    looks.put(rest, columns_of([_composite(marks, row, cuts=bool(cuts[row])) for row in rest.tolist()]))
    looks.crosses[some] = np.logical_or.reduceat(marks.looks.crosses, marks.offset[:-1][some])
    return looks


def _marks(apertures: Sequence[Aperture]) -> _Marks:
    primitives = [primitive for aperture in apertures for primitive in aperture.primitives]
    marks = [mark for primitive in primitives for mark in primitive.marks]
    size = np.array([len(primitive.marks) for primitive in primitives], np.int64)
    primitive = np.repeat(np.arange(len(primitives)), size)
    first = offsets(np.array([len(aperture.primitives) for aperture in apertures], np.int64))
    return _Marks(
        _solids_of(marks),
        np.array([mark.adds for mark in marks], bool),
        primitive,
        np.array([primitive.adds for primitive in primitives], bool)[primitive],
        offsets(size)[first],
    )


def _solids_of(marks: Sequence[Mark]) -> Columns:
    """Every mark as a look of its own."""
    if not marks:
        return nothings(0)
    count = np.array([len(mark.core_mm) for mark in marks], np.int64)
    corner, offset = np.concatenate([mark.core_mm for mark in marks]), offsets(count)

    def chains(rows: IntArray) -> Chains:
        return Chains(corner[rows_of_runs(offset[rows], count[rows])], offsets(count[rows]))

    core = np.empty(len(marks), object)
    simple, polygonal = np.flatnonzero(count < _FEWEST_CORNERS), np.flatnonzero(count >= _FEWEST_CORNERS)
    crosses = np.zeros(len(marks), bool)
    if len(simple):
        core[simple] = convex_cores(chains(simple).vertex, np.repeat(np.arange(len(simple)), count[simple]))
    if len(polygonal):
        rings = chains(polygonal)
        core[polygonal] = shapely.orient_polygons(mended(polygons(rings)))
        crosses[polygonal] = crossing(rings, core[polygonal], GRID_MM)
    return solids(core, np.array([mark.radius_mm for mark in marks]))._replace(crosses=crosses)


def _put_rounded(looks: Columns, marks: _Marks, apertures: IntArray) -> BoolArray:
    """Put those whose marks make a rounded convex shape together; whether each did."""
    found = np.zeros(len(apertures), bool)
    count = np.diff(marks.offset)[apertures]
    mark, owner = rows_of_runs(marks.offset[apertures], count), np.repeat(np.arange(len(apertures)), count)
    drawn = shapely.is_geometry(marks.looks.core[mark])
    mark, owner = mark[drawn], owner[drawn]
    if not len(mark):
        return found
    group, of_group = np.unique(owner, return_inverse=True)
    known, core, radius_mm, tolerance_mm = rounded_unions(
        marks.looks.core[mark], marks.looks.radius_mm[mark], of_group
    )
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
    outline = marks.looks.outline[rows]
    if cuts:
        begin = np.flatnonzero(np.diff(marks.primitive[rows], prepend=-1))
        primitives = np.split(np.arange(len(rows)), begin[1:])
        layers = [stacked(outline[at], marks.adds[rows[at]]) for at in primitives]
        image = stacked(column_of(layers), marks.primitive_adds[rows[begin]])
    else:
        image = stacked(outline, np.ones(len(rows), bool))
    looks = [Look(*one) for one in zip(*marks.looks.take(rows)[:4], strict=True)]
    flat_mm = max(GRID_MM, *(flatness_of(look) for look in looks))
    return merged(image, [look for look in looks if not cuts and look.core is not None], flat_mm)
