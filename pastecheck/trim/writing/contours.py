"""Outlines that are no aperture, as contours of regions: corners, and arcs where curves were."""

from collections.abc import Mapping
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.arcs import Ring, straight, with_arcs
from pastecheck.geometry.outlines import sides_grown
from pastecheck.openings import Shapes
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


def region_texts(rings: list[Ring], origin_nm: FloatArray, grid: Grid) -> list[str]:
    """
    Openings of one shape, each with its rings as regions of one contour; holes are cut by clear polarity.

    Args:
        rings: The outer one first, about the origin of the shape.
        origin_nm: Where that lies. Shape (k, 2).
        grid: What coordinates are rounded to.
    """
    every = [_texts_of_ring(ring, origin_nm, grid) for ring in rings]
    if len(every) == 1:
        return every[0]
    return [
        _with_holes(outer, [hole for hole in holes if hole]) for outer, *holes in zip(*every, strict=True)
    ]


def _with_holes(outer: str, holes: list[str]) -> str:
    return "\n".join([outer, "%LPC*%", *holes, "%LPD*%"]) if holes else outer


def _texts_of_ring(ring: Ring, origin_nm: FloatArray, grid: Grid) -> list[str]:
    """
    One shape of words for all; where rounding lets corners fall together, a shape of its own.

    Empty where so many do that nothing is left: a hole is gone then, and an outline fails its proof.
    """
    corner = grid.rounded(origin_nm[:, None] + ring.corner_mm * NM_PER_MM)
    moves = (np.roll(corner, -1, axis=1) != corner).any(axis=2)
    texts = np.empty(len(origin_nm), object)
    plain = moves.all(axis=1)
    texts[plain] = _filled_in(ring, corner[plain], origin_nm[plain], grid)
    for row in np.flatnonzero(~plain).tolist():
        kept = moves[row]
        fewer = Ring(ring.corner_mm[kept], ring.centre_mm[kept], ring.turn[kept])
        encloses = kept.sum() > (1 if fewer.turn.any() else 2)
        texts[[row]] = _filled_in(fewer, corner[[row]][:, kept], origin_nm[[row]], grid) if encloses else [""]
    return list(texts)


def _filled_in(ring: Ring, corner: IntArray, origin_nm: FloatArray, grid: Grid) -> list[str]:
    """Coordinates put into the words for a ring. Corners have shape (k, v, 2)."""
    way_mm = np.roll(ring.corner_mm, -1, axis=0) - ring.corner_mm
    is_arc = (ring.turn != 0) & (np.hypot(*way_mm.T) * NM_PER_MM >= _LEAST_ARC_NM)
    numbers = np.zeros((len(corner), len(is_arc), 4), np.int64)
    numbers[..., :2] = np.roll(corner, -1, axis=1)
    centre = grid.rounded(origin_nm[:, None] + ring.centre_mm[is_arc] * NM_PER_MM)
    numbers[:, is_arc, 2:] = centre - corner[:, is_arc]
    is_said = np.ones((len(is_arc), 4), bool)
    is_said[~is_arc, 2:] = False
    words = _words((ring.turn * is_arc).tolist())
    given = np.concatenate([corner[:, 0], numbers[:, is_said]], axis=1)
    return [words % tuple(row) for row in given.tolist()]


def _words(ways: list[int]) -> str:
    """A region with gaps for its numbers: the first corner, and then where each edge leads."""
    lines = ["G36*", "X%dY%dD02*"]
    mode = 0
    for way in ways:
        if way != mode:
            lines.append(_MODES[way])
        mode = way
        lines.append("X%dY%dI%dJ%dD01*" if way else "X%dY%dD01*")
    return "\n".join([*lines, *(["G01*"] if mode else []), "G37*"])
