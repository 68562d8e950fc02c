"""Outlines as they would be if something was changed: stretched, less what is narrow, narrow film filled."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.walls import outer

GeometryArray = NDArray[np.object_]

_QUARTER = 16
"""Facets of a quarter turn: within 0.5 % of a radius."""


class Parts(NamedTuple):
    """Polygons that something leaves of outlines."""

    polygon: GeometryArray
    owner: IntArray
    """Row of the outline, sorted."""


def stretched(outline: GeometryArray, along_rad: FloatArray, factor: FloatArray) -> GeometryArray:
    """Outlines made wider across a direction, and not longer along it. Shape (s,) each."""
    at_mm, row = shapely.get_coordinates(outline, return_index=True)
    across = np.column_stack([-np.sin(along_rad), np.cos(along_rad)])[row]
    way = (factor[row] - 1) * (at_mm * across).sum(axis=1)
    wider: GeometryArray = shapely.set_coordinates(outline.copy(), at_mm + way[:, None] * across)
    return wider


def wide_parts(outline: GeometryArray, width_mm: FloatArray | float) -> Parts:
    """What is left of outlines without all that a disc of some diameter does not reach; corners get round."""
    inner = shapely.buffer(outline, -np.asarray(width_mm) / 2, quad_segs=_QUARTER)
    left = shapely.buffer(inner, np.asarray(width_mm) / 2, quad_segs=_QUARTER)
    return _parts(np.asarray(left, np.object_))


def narrow_film(outline: GeometryArray, width_mm: FloatArray | float) -> Parts:
    """Film outside outer rings that a disc of some diameter does not reach: notches, and inner corners."""
    filled = outer(outline)
    grown = shapely.buffer(filled, np.asarray(width_mm) / 2, quad_segs=_QUARTER)
    closed = shapely.buffer(grown, -np.asarray(width_mm) / 2, quad_segs=_QUARTER)
    return _parts(np.asarray(shapely.difference(closed, filled), np.object_))


def _parts(geometry: GeometryArray) -> Parts:
    polygon, owner = shapely.get_parts(geometry, return_index=True)
    kept = (shapely.get_dimensions(polygon) == 2) & (shapely.area(polygon) > 0)
    return Parts(polygon[kept], owner[kept])
