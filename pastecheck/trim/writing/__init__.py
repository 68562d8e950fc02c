"""
Openings -> a Gerber layer: flashes where a shape is an aperture's, regions with their arcs where it is not.

The same openings give the same bytes. Holes are cut by clear polarity, which all readers agree on: openings
with holes come first, the largest first, so that whatever lies in a hole is drawn after it.
"""

from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.gerber.attributes import SOURCE_STEP
from pastecheck.judge.readings import INCH_FILE_SLACK_MM
from pastecheck.openings import Openings
from pastecheck.ragged import distinct, distinct_rows
from pastecheck.trim.writing.attributes import refuse_too_many, with_changes
from pastecheck.trim.writing.contours import contours_of, region_texts
from pastecheck.trim.writing.grid import Grid, grid_of, plain
from pastecheck.trim.writing.header import Header, head
from pastecheck.trim.writing.tools import NO_TOOL, Tools, tools_of
from pastecheck.units import NM_PER_MM

__all__ = ["Header", "difference_bound_mm2", "difference_bounds_mm2", "refuse_too_many", "written"]

_ROUNDINGS: Final = 3
"""A place, the corner of a shape about it and a size are rounded to the grid, each by half a step."""
_DIGITS: Final = 9


def written(openings: Openings, header: Header) -> bytes:
    """
    A layer file in the unit of the source that draws openings, and nothing else.

    Read again it gives the same openings: what either has and the other has not is below
    `difference_bound_mm2`.
    """
    grid = grid_of(openings)
    tools = tools_of(openings, grid)
    rows = _in_order(openings, tools)
    flashed = tools.tool[rows] != NO_TOOL
    body = [
        *_regions(openings, rows[~flashed], grid),
        *_flashes(openings, rows[flashed], tools, grid),
    ]
    says = [*head(header, grid), *_source_step(openings), *tools.definitions]
    lines = [*says, "G75*", "G01*", "%LPD*%", *body, "M02*", ""]
    return "\n".join(lines).encode("ascii")


def _source_step(openings: Openings) -> list[str]:
    """How coarse the source was, where lengths have slack for it: finer numbers do not make it more exact."""
    if openings.step_mm <= INCH_FILE_SLACK_MM:
        return []
    return [f"%TF{SOURCE_STEP},{plain(openings.step_mm, _DIGITS)}*%"]


def difference_bound_mm2(openings: Openings) -> float:
    """How far the area of what is written and read can be from the openings, both ways added up."""
    return float(difference_bounds_mm2(openings).sum())


def difference_bounds_mm2(openings: Openings) -> FloatArray:
    """As `difference_bound_mm2`, of each opening. Shape (n,)."""
    grid = grid_of(openings)
    shapes = openings.shapes
    off_mm = shapes.flatness_mm * 2 + _ROUNDINGS * grid.step_nm / NM_PER_MM
    bounds_mm2: FloatArray = (off_mm * shapes.perimeter_mm)[openings.shape]
    return bounds_mm2


def _in_order(openings: Openings, tools: Tools) -> IntArray:
    """Rows: openings with holes by the size of what they enclose, other regions, then flashes by tool."""
    outline = openings.shapes.outline
    outer_mm2 = shapely.area(shapely.polygons(shapely.get_exterior_ring(outline)))
    has_holes = shapely.get_num_interior_rings(outline) > 0
    around_mm2 = np.where(has_holes, -outer_mm2, np.inf)[openings.shape]
    place = np.arange(len(openings))
    order: IntArray = np.lexsort((place, openings.label, openings.of_aperture, tools.tool, around_mm2))
    return order


def _flashes(openings: Openings, rows: IntArray, tools: Tools, grid: Grid) -> list[str]:
    place = grid.rounded(_origin_nm(openings, rows) + tools.centre_mm[openings.shape[rows]] * NM_PER_MM)
    lines = [f"X{x}Y{y}D03*" for x, y in place.tolist()]
    lines = with_changes(lines, openings.of_object[rows], openings.object_sets)
    tool = tools.tool[rows]
    for at in np.flatnonzero(np.diff(tool, prepend=NO_TOOL)).tolist():
        lines[at] = f"D{tool[at]}*\n{lines[at]}"
    return lines


def _regions(openings: Openings, rows: IntArray, grid: Grid) -> list[str]:
    """Each distinct shape once, with all the places that it has."""
    if not len(rows):
        return []
    texts = np.empty(len(rows), object)
    shape = openings.shape[rows]
    order, kinds = np.argsort(shape, kind="stable"), distinct(shape)
    runs = np.split(order, np.searchsorted(shape[order], kinds[1:]))
    for its, rings in zip(runs, contours_of(openings.shapes, kinds), strict=True):
        texts[its] = region_texts(rings, _origin_nm(openings, rows[its]), grid)
    both = distinct_rows(np.column_stack([openings.of_aperture[rows], openings.of_object[rows]]))
    first = rows[both.first]
    pairs = zip(openings.of_aperture[first].tolist(), openings.of_object[first].tolist(), strict=True)
    sets = [(*openings.aperture_sets[one], *openings.object_sets[other]) for one, other in pairs]
    return with_changes(list(texts), both.inverse, sets)


def _origin_nm(openings: Openings, rows: IntArray) -> FloatArray:
    return np.column_stack([openings.x_nm[rows], openings.y_nm[rows]]).astype(np.float64)
