"""Solids for tests: a core and a radius, drawn at random or by name."""

from collections.abc import Sequence
from typing import NamedTuple, TypeGuard

import numpy as np
import shapely
from hypothesis import strategies as st
from numpy.typing import NDArray

from pastecheck.geometry.outlines import convex_core, rounded

GeometryArray = NDArray[np.object_]


class Drawn(NamedTuple):
    """Every point within a radius of a core, in mm."""

    core: shapely.Geometry
    radius_mm: float


def column(geometries: Sequence[shapely.Geometry]) -> GeometryArray:
    """Geometries as an array of objects. Shape (n,)."""
    result = np.empty(len(geometries), np.object_)
    result[:] = geometries
    return result


def grown(core: shapely.Geometry, radius_mm: float) -> shapely.Polygon:
    """The outline of all points within a radius of a core."""
    (outline,) = rounded(column([core]), np.array([radius_mm], np.float64))
    assert isinstance(outline, shapely.Polygon)
    return outline


def rectangle(width_mm: float, height_mm: float) -> shapely.Polygon:
    """About the origin, counter-clockwise."""
    return shapely.box(-width_mm / 2, -height_mm / 2, width_mm / 2, height_mm / 2)


def hull(points_um: Sequence[tuple[int, int]]) -> shapely.Geometry:
    """A point, a line or a convex polygon."""
    return convex_core(np.array(points_um, np.float64) / 1000)


def _has_area(core: shapely.Geometry) -> TypeGuard[shapely.Polygon]:
    return isinstance(core, shapely.Polygon)


micrometres = st.integers(-2000, 2000)
places = st.tuples(micrometres, micrometres)
cores = st.lists(places, min_size=1, max_size=8, unique=True).map(hull)
"""Points, lines and convex polygons within 4 mm."""
polygons = cores.filter(_has_area)

radii_mm = st.integers(1, 2000).map(lambda um: um / 1000)
solids = st.builds(Drawn, cores, radii_mm)
