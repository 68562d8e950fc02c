"""Outlines of any form for tests: what is left of a few simple shapes, some added and some cut away."""

import numpy as np
import shapely
import shapely.affinity
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point, Polygon


def outline_of(seed: int) -> shapely.Polygon:
    """The largest part of two to six rectangles, triangles, polygons and discs within 2 mm, to 1 nm."""
    random = np.random.default_rng([4, seed])
    while True:
        whole = _simple(random)
        for _ in range(int(random.integers(1, 6))):
            other = _simple(random)
            adds = random.random() < 0.65
            whole = shapely.union(whole, other) if adds else shapely.difference(whole, other)
        parts = shapely.get_parts(shapely.set_precision(whole, 1e-6))
        largest = max(parts, key=shapely.area, default=None)
        if isinstance(largest, Polygon) and largest.area > 0.01:
            return largest


def _simple(random: np.random.Generator) -> shapely.Geometry:
    kind = random.integers(4)
    shape: shapely.Geometry
    if kind == 0:
        shape = shapely.box(0, 0, *random.uniform(0.1, 1, 2))
    elif kind == 1:
        shape = MultiPoint(random.uniform(0, 1, (3, 2))).convex_hull
    elif kind == 2:
        shape = Point(0, 0).buffer(random.uniform(0.1, 0.5), int(random.integers(2, 8)))
    else:
        shape = MultiPoint(random.uniform(0, 1, (7, 2))).convex_hull
    degrees = random.choice([0.0, 0.0, 45.0, random.uniform(0, 360)])
    turned = shapely.affinity.rotate(shape, degrees, origin=(0, 0))
    return shapely.affinity.translate(turned, *random.uniform(0, 1, 2))


any_polygons = st.integers(0, 10**6).map(outline_of)
