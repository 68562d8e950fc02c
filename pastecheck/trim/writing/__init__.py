"""
Openings -> a Gerber layer: flashes where a shape is an aperture's, regions with their arcs where it is not.

The same openings give the same bytes. Holes are cut by clear polarity, which all readers agree on: openings
with holes come first, the largest first, so that whatever lies in a hole is drawn after it.
"""

from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.trim.writing.contours import contours_of, ring_texts
from pastecheck.trim.writing.grid import Grid, grid_of
from pastecheck.trim.writing.header import Header, escaped, head
from pastecheck.trim.writing.tools import NO_TOOL, Tools, tools_of
from pastecheck.units import NM_PER_MM

__all__ = ["Header", "difference_bound_mm2", "written"]

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
    grid = grid_of(openings)
    shapes = openings.shapes
    off_mm = shapes.flatness_mm * 2 + _ROUNDINGS * grid.step_nm / NM_PER_MM
    return float((off_mm * shapes.perimeter_mm)[openings.shape].sum())


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
    lines: list[str] = []
    tool_now = label_now = 0
    columns = tools.tool[shape].tolist(), openings.label[rows].tolist(), place.tolist()
    for tool, label, (x, y) in zip(*columns, strict=True):
        if tool != tool_now:
            lines.append(f"D{tool}*")
        if label != label_now:
            lines.extend(_label(openings.labels[label]))
        tool_now, label_now = tool, label
        lines.append(f"X{x}Y{y}D03*")
    return [*lines, *(["%TD*%"] if label_now else [])]


def _regions(openings: Openings, rows: IntArray, grid: Grid) -> list[str]:
    lines: list[str] = []
    shape = openings.shape[rows]
    kinds, kind = np.unique(shape, return_inverse=True)
    contours = contours_of(openings.shapes, kinds)
    label_now = 0
    columns = kind.tolist(), openings.label[rows].tolist(), _origin_nm(openings, rows)
    for one, label, origin_nm in zip(*columns, strict=True):
        if label != label_now:
            lines.extend(_label(openings.labels[label]))
        label_now = label
        for nth, ring in enumerate(contours[one]):
            if nth == 1:
                lines.append("%LPC*%")
            lines += ring_texts(ring, origin_nm, grid)
        if len(contours[one]) > 1:
            lines.append("%LPD*%")
    return [*lines, *(["%TD*%"] if label_now else [])]


def _origin_nm(openings: Openings, rows: IntArray) -> FloatArray:
    return np.column_stack([openings.x_nm[rows], openings.y_nm[rows]]).astype(np.float64)


def _label(label: str) -> list[str]:
    """Attach a component to what follows; none for the empty name."""
    return [f"%TO.C,{escaped(label)}*%"] if label else ["%TD*%"]
