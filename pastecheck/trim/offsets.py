"""Outlines that are no rectangles drawn in, or with their corners rounded: by offsets of their walls."""

import math
from typing import Final, cast

import numpy as np
import shapely

from pastecheck.drawing import FloatArray
from pastecheck.geometry.outlines import FLATNESS_MM, rounded
from pastecheck.openings import GeometryArray
from pastecheck.trim.plan import Outline

Area = shapely.Polygon | shapely.MultiPolygon
_MITRE: Final = 5.0
"""Sharper corners are cut off where a wall is drawn in, as far off as this many times the way."""


def drawn_in(solid: Outline, by_mm: float) -> Area:
    """
    A shape with all walls drawn in; empty where nothing is left. Round walls stay round.

    Example:
        >>> disc = Outline(shapely.Point(0, 0), 1.0, 0.0)
        >>> round(drawn_in(disc, 0.5).area, 3)  # pi / 4
        0.785
    """
    less_mm = min(by_mm, solid.radius_mm)
    core, radius_mm = np.array([solid.core], object), np.array([solid.radius_mm - less_mm])
    outline: Area = rounded(core, radius_mm)[0]
    if by_mm > less_mm:
        return cast("Area", shapely.buffer(outline, less_mm - by_mm, join_style="mitre", mitre_limit=_MITRE))
    return outline


def walls_drawn_in(outline: GeometryArray, by_mm: FloatArray | float) -> GeometryArray:
    """What is left of outlines with all walls drawn in; empty, or in parts, as it comes. Shape (k,)."""
    return np.asarray(
        shapely.buffer(outline, -np.asarray(by_mm), join_style="mitre", mitre_limit=_MITRE), object
    )


def inset(outline: shapely.Polygon, by_mm: float) -> shapely.Polygon | None:
    """
    An outline with all walls drawn in; None where it falls apart, or nothing is left of it.

    Example:
        >>> arms = shapely.Polygon([(0, 0), (1, 0), (1, 0.4), (0.4, 0.4), (0.4, 1), (0, 1)])
        >>> round(inset(arms, 0.05).area, 6)  # 0.9 x 0.3 + 0.3 x 0.6
        0.45
    """
    return alike(walls_drawn_in(np.array([outline], object), by_mm)[0], outline)


def rounded_within(outline: shapely.Polygon, radius_mm: float) -> shapely.Polygon | None:
    """
    What a disc of a radius reaches within an outline: its corners are round; inner ones stay as they are.

    None where that is not one outline with as many holes.

    Example:
        >>> square = shapely.box(0, 0, 1, 1)
        >>> round(rounded_within(square, 0.2).area, 3)  # 1 - (4 - pi) 0.04
        0.966
    """
    core = inset(outline, radius_mm)
    if core is None:
        return None
    facet_rad = 2 * math.acos(1 - min(FLATNESS_MM / radius_mm, 1.0))
    quarter = max(math.ceil(math.pi / 2 / facet_rad), 2)
    return alike(shapely.buffer(core, radius_mm, quad_segs=quarter, join_style="round"), outline)


def alike(made: shapely.Geometry, outline: shapely.Polygon) -> shapely.Polygon | None:
    """An outline with as many holes as another; None where it is none."""
    if not isinstance(made, shapely.Polygon) or made.is_empty:
        return None
    return made if len(made.interiors) == len(outline.interiors) else None
