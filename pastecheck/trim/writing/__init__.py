"""
Openings -> a Gerber layer: flashes where a shape is an aperture's, regions with their arcs where it is not.

The same openings give the same bytes. Holes are cut by clear polarity, which all readers agree on: openings
with holes come first, the largest first, so that whatever lies in a hole is drawn after it.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.ragged import distinct
from pastecheck.trim.writing.contours import contours_of, region_texts
from pastecheck.trim.writing.grid import Grid, grid_of
from pastecheck.trim.writing.header import Header, escaped, head
from pastecheck.trim.writing.tools import NO_TOOL, Tools, tools_of
from pastecheck.units import NM_PER_MM

__all__ = ["Header", "difference_bound_mm2", "difference_bounds_mm2", "written"]

_ROUNDINGS: Final = 3
"""A place, the corner of a shape about it and a size are rounded to the grid, each by half a step."""


def written(openings: Openings, header: Header) -> bytes:
    """
    A layer file in the unit of the source that draws openings, and nothing else.

    Read again it gives the same openings: what either has and the other has not is below
    `difference_bound_mm2`.
    """
    grid = grid_of(openings)
    tools = tools_of(openings.shapes, grid)
    rows = _in_order(openings, tools)
    flashed = tools.tool[openings.shape[rows]] != NO_TOOL
    body = [
        *_regions(openings, rows[~flashed], grid),
        *_flashes(openings, rows[flashed], tools, grid),
    ]
    lines = [*head(header, grid), *tools.definitions, "G75*", "G01*", "%LPD*%", *body, "M02*", ""]
    return "\n".join(lines).encode("ascii")


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
    tool = tools.tool[openings.shape]
    order: IntArray = np.lexsort((np.arange(len(tool)), openings.label, tool, around_mm2))
    return order


def _flashes(openings: Openings, rows: IntArray, tools: Tools, grid: Grid) -> list[str]:
    shape = openings.shape[rows]
    place = grid.rounded(_origin_nm(openings, rows) + tools.centre_mm[shape] * NM_PER_MM)
    lines = [f"X{x}Y{y}D03*" for x, y in place.tolist()]
    tool = tools.tool[shape]
    chosen = {number: f"D{number}*" for number in distinct(tool).tolist()}
    return _with_labels(lines, openings, rows, before=(tool, chosen))


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
    return _with_labels(list(texts), openings, rows)


def _with_labels(
    lines: list[str],
    openings: Openings,
    rows: IntArray,
    before: tuple[IntArray, Mapping[int, str]] | None = None,
) -> list[str]:
    """Lines of some openings, with statements where a component, or the number of something else, changes."""
    if not lines:
        return []
    label = openings.label[rows]
    said = {row: _label(openings.labels[row]) for row in distinct(label).tolist()}
    for number, texts in [(label, said), *([] if before is None else [before])]:
        for at in np.flatnonzero(np.diff(number, prepend=0)).tolist():
            lines[at] = f"{texts[int(number[at])]}\n{lines[at]}"
    return [*lines, *(["%TD*%"] if label[-1] else [])]


def _origin_nm(openings: Openings, rows: IntArray) -> FloatArray:
    return np.column_stack([openings.x_nm[rows], openings.y_nm[rows]]).astype(np.float64)


def _label(label: str) -> str:
    """Attach a component to what follows; none for the empty name."""
    return f"%TO.C,{escaped(label)}*%" if label else "%TD*%"
