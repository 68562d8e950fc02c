"""The turned bounding rectangle of each opening, in its place, and which openings it tells all about."""

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.width import Sides
from pastecheck.openings import Openings, Shapes
from pastecheck.units import NM_PER_MM

_FILLED = 1e-6
"""A core that lacks less of its rectangle is one: float arithmetic only."""


def rectangles_of(openings: Openings, sides: Sides) -> Rectangles:
    """
    The turned bounding rectangle of each opening, along its length.

    Args:
        openings: n openings.
        sides: Of their distinct outlines. Shape (s,).
    """
    shape = openings.shape
    direction_rad = np.nan_to_num(sides.direction_rad)
    middle_mm = _middles_mm(openings.shapes, direction_rad)
    origin_mm = np.column_stack([openings.x_nm, openings.y_nm]) / NM_PER_MM
    half_mm = np.column_stack([sides.length_mm, sides.width_mm]) / 2
    return Rectangles(origin_mm + middle_mm[shape], half_mm[shape], direction_rad[shape])


def are_rounded_rectangles(shapes: Shapes, sides: Sides) -> BoolArray:
    """Which outlines are rectangles with corners of one radius; circles and obrounds are too. Shape (s,)."""
    core_mm2 = (sides.width_mm - 2 * shapes.radius_mm) * (sides.length_mm - 2 * shapes.radius_mm)
    tolerance_mm2 = _FILLED * sides.width_mm * sides.length_mm
    known: BoolArray = np.abs(shapely.area(shapes.core) - core_mm2) <= tolerance_mm2
    return known


def _middles_mm(shapes: Shapes, direction_rad: FloatArray) -> FloatArray:
    """Middles of the rectangles about their own origins. Shape (s, 2)."""
    corner, of_shape = shapely.get_coordinates(shapes.core, return_index=True)
    cos, sin = np.cos(direction_rad), np.sin(direction_rad)
    seen = np.column_stack(
        [
            corner[:, 0] * cos[of_shape] + corner[:, 1] * sin[of_shape],
            corner[:, 1] * cos[of_shape] - corner[:, 0] * sin[of_shape],
        ]
    )
    begin = np.flatnonzero(np.diff(of_shape, prepend=-1))
    middle = (np.minimum.reduceat(seen, begin) + np.maximum.reduceat(seen, begin)) / 2
    x_mm, y_mm = middle.T
    return np.column_stack([x_mm * cos - y_mm * sin, y_mm * cos + x_mm * sin])
