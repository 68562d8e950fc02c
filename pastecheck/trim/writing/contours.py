"""Outlines that are no aperture, as contours of regions: corners, and arcs where curves were."""

from collections.abc import Mapping
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import sides_grown
from pastecheck.openings import Shapes
from pastecheck.trim.writing.arcs import Ring, straight, with_arcs
from pastecheck.trim.writing.grid import Grid
from pastecheck.units import NM_PER_MM

_LEAST_ARC_NM: Final = 2000.0
"""Shorter arcs are lines: readers may move their ends by half a micrometre (Gerber 2023.08, 4.7.2, 4.14)."""
_MODES: Final[Mapping[int, str]] = {0: "G01*", 1: "G03*", -1: "G02*"}


def contours_of(shapes: Shapes, rows: IntArray) -> list[list[Ring]]:
    """For each of some distinct shapes its outer ring, and then its holes."""
    return [_rings(shapes, row) for row in rows.tolist()]


def _rings(shapes: Shapes, row: int) -> list[Ring]:
    if shapes.radius_mm[row] > 0:
        return [_grown(shapes, row)]
    outline = shapely.orient_polygons(shapes.outline[row])
    rings = [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(outline)]
    of = with_arcs if shapes.tolerance_mm[row] > 0 else straight
    return [of(corner) for corner in rings]


def _grown(shapes: Shapes, row: int) -> Ring:
    """The straight sides of a core grown by a radius, and an arc about each of its corners."""
    found = sides_grown(shapes.core[row : row + 1], shapes.radius_mm[row : row + 1])
    corner_mm = np.stack([found.arriving, found.leaving], axis=1).reshape(-1, 2)
    centre_mm = np.full_like(corner_mm, np.nan)
    centre_mm[::2] = found.corner
    return Ring(corner_mm, centre_mm, np.tile([1, 0], len(found.corner)))


def ring_texts(ring: Ring, origin_nm: FloatArray, grid: Grid) -> list[str]:
    """A region of one contour in its place."""
    corner = grid.rounded(origin_nm + ring.corner_mm * NM_PER_MM)
    kept = _moves(corner)
    corner, centre_mm, turn = corner[kept], ring.centre_mm[kept], ring.turn[kept]
    after = np.roll(corner, -1, axis=0)
    is_arc = (turn != 0) & (np.hypot(*(after - corner).T) * grid.step_nm >= _LEAST_ARC_NM)
    centre = np.zeros_like(corner)
    centre[is_arc] = grid.rounded(origin_nm + centre_mm[is_arc] * NM_PER_MM) - corner[is_arc]
    lines = ["G36*", f"X{corner[0, 0]}Y{corner[0, 1]}D02*"]
    mode = 0
    columns = (turn * is_arc).tolist(), after.tolist(), centre.tolist()
    for way, (x, y), (i, j) in zip(*columns, strict=True):
        if way != mode:
            lines.append(_MODES[way])
        mode = way
        lines.append(f"X{x}Y{y}I{i}J{j}D01*" if way else f"X{x}Y{y}D01*")
    return [*lines, *(["G01*"] if mode else []), "G37*"]


def _moves(corner: IntArray) -> BoolArray:
    """Which corners are not where the next one is."""
    return np.asarray((np.roll(corner, -1, axis=0) != corner).any(axis=1))
