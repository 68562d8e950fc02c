"""Outlines as they would be if something was changed: stretched, less what is narrow, narrow film filled."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.walls import outer

GeometryArray = NDArray[np.object_]

_SPECK_MM2 = 1e-9


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
    """What is left of outlines without all that is narrower than a width; right corners stay sharp."""
    inner = _moved(outline, -np.asarray(width_mm) / 2)
    return _parts(shapely.intersection(_moved(inner, np.asarray(width_mm) / 2), outline))


def narrow_film(outline: GeometryArray, width_mm: FloatArray | float) -> Parts:
    """Film outside outer rings, between walls that are closer than a width; inner corners are none."""
    filled = outer(outline)
    closed = _moved(_moved(filled, np.asarray(width_mm) / 2), -np.asarray(width_mm) / 2)
    return _parts(shapely.difference(closed, filled))


def _moved(outline: GeometryArray, way_mm: FloatArray) -> GeometryArray:
    """Outlines with all walls moved outward; where two move apart they are drawn on until they meet."""
    return np.asarray(shapely.buffer(outline, way_mm, join_style="mitre"), np.object_)


def _parts(geometry: GeometryArray) -> Parts:
    """The polygons of geometries of any kind; a slip of the walls leaves lines and specks of no area."""
    polygon, owner = shapely.get_parts(geometry, return_index=True)
    kept = (shapely.get_dimensions(polygon) == 2) & (shapely.area(polygon) > _SPECK_MM2)
    return Parts(polygon[kept], owner[kept])
