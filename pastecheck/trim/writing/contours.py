"""Outlines that are no aperture, as contours of regions: corners, and arcs where curves were."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import sides_grown
from pastecheck.openings import Shapes
from pastecheck.trim.writing.grid import Grid
from pastecheck.units import NM_PER_MM

_LEAST_ARC_NM: Final = 2000.0
"""Shorter arcs are lines: readers may move their ends by half a micrometre (Gerber 2023.08, 4.7.2, 4.14)."""


class Ring(NamedTuple):
    """One closed contour about the origin of its shape: corner k and the edge that leaves it. Shape (v, ...)."""

    corner_mm: FloatArray
    """Shape (v, 2)."""
    centre_mm: FloatArray
    """Of the edge, where it is an arc; NaN where it is straight. Shape (v, 2)."""


def contours_of(shapes: Shapes, rows: IntArray) -> list[list[Ring]]:
    """For each of some distinct shapes its outer ring, and then its holes."""
    return [_rings(shapes, row) for row in rows.tolist()]


def _rings(shapes: Shapes, row: int) -> list[Ring]:
    if shapes.radius_mm[row] > 0:
        return [_grown(shapes, row)]
    outline = shapely.orient_polygons(shapes.outline[row])
    rings = [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(outline)]
    return [Ring(corner, np.full_like(corner, np.nan)) for corner in rings]


def _grown(shapes: Shapes, row: int) -> Ring:
    """The straight sides of a core grown by a radius, and an arc about each of its corners."""
    found = sides_grown(shapes.core[row : row + 1], shapes.radius_mm[row : row + 1])
    corner_mm = np.stack([found.arriving, found.leaving], axis=1).reshape(-1, 2)
    centre_mm = np.full_like(corner_mm, np.nan)
    centre_mm[::2] = found.corner
    return Ring(corner_mm, centre_mm)


def ring_texts(ring: Ring, origin_nm: FloatArray, grid: Grid) -> list[str]:
    """A region of one contour in its place. Its arcs run counter-clockwise, as outer rings do."""
    corner = grid.rounded(origin_nm + ring.corner_mm * NM_PER_MM)
    kept = _moves(corner)
    corner, centre_mm = corner[kept], ring.centre_mm[kept]
    after = np.roll(corner, -1, axis=0)
    is_arc = ~np.isnan(centre_mm[:, 0])
    is_arc &= np.hypot(*(after - corner).T) * grid.step_nm >= _LEAST_ARC_NM
    centre = np.zeros_like(corner)
    centre[is_arc] = grid.rounded(origin_nm + centre_mm[is_arc] * NM_PER_MM) - corner[is_arc]
    lines = ["G36*", f"X{corner[0, 0]}Y{corner[0, 1]}D02*"]
    was_arc = False
    for arc, (x, y), (i, j) in zip(is_arc.tolist(), after.tolist(), centre.tolist(), strict=True):
        if arc != was_arc:
            lines.append("G03*" if arc else "G01*")
        was_arc = arc
        lines.append(f"X{x}Y{y}I{i}J{j}D01*" if arc else f"X{x}Y{y}D01*")
    return [*lines, *(["G01*"] if was_arc else []), "G37*"]


def _moves(corner: IntArray) -> BoolArray:
    """Which corners are not where the next one is."""
    return np.asarray((np.roll(corner, -1, axis=0) != corner).any(axis=1))
