"""Turn angles on the flat vertex array of many outlines."""

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray

GeometryArray = NDArray[np.object_]


def total_turning(outline: GeometryArray) -> FloatArray:
    """
    Sum of the turns of all rings of each polygon, left and right turns both counted. Shape (n,), in radians.

    Args:
        outline: Polygons without repeated vertices other than the closing one. Shape (n,).
    """
    if not len(outline):
        return np.zeros(0)
    rings, owner = shapely.get_rings(outline, return_index=True)
    coordinates, ring = shapely.get_coordinates(rings, return_index=True)
    step = np.diff(coordinates, axis=0)
    within = ring[1:] == ring[:-1]
    step, ring = step[within], ring[1:][within]
    heading = np.arctan2(step[:, 1], step[:, 0])
    first = np.flatnonzero(np.diff(ring, prepend=-1))
    last = np.append(first[1:], len(ring)) - 1
    before = np.roll(heading, 1)
    before[first] = heading[last]
    turn = np.abs(np.mod(heading - before + np.pi, 2 * np.pi) - np.pi)
    return np.asarray(np.bincount(owner[ring], weights=turn, minlength=len(outline)), dtype=np.float64)
