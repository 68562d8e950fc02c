"""Turn angles on the flat vertex array of many outlines."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray
from pastecheck.ragged import within_runs

GeometryArray = NDArray[np.object_]

_CUSP_RAD = np.radians(170)
"""A vertex that turns more than this is the tip of a cusp."""
_CHORDS_LOST = 0.82


class Turning(NamedTuple):
    """What the vertices of outlines say about their curves. Shape (n,) each."""

    total_rad: FloatArray
    """Sum of the turns of all rings, left and right turns both counted."""
    lost_mm: FloatArray
    """Length that flattening may have lost in sharp cusps, where outlines meet as tangents."""


def turning(outline: GeometryArray) -> Turning:
    """
    Turns of outlines, and what is uncertain about their length.

    Two outlines that touch as tangents part slowly: within x of the contact they are nearer than t, where
    x = sqrt(2 r t). Flattened within t they meet up to x beside the contact, and the walls between are lost.
    A chord is sqrt(6 t r) long, so with both outlines off by t, x is at most 0.82 of a chord.

    Args:
        outline: Polygons without repeated vertices other than the closing one. Shape (n,).
    """
    if not len(outline):
        return Turning(np.zeros(0), np.zeros(0))
    rings, owner = shapely.get_rings(outline, return_index=True)
    coordinates, ring = shapely.get_coordinates(rings, return_index=True)
    step = np.diff(coordinates, axis=0)
    within = ring[1:] == ring[:-1]
    step, ring = step[within], ring[1:][within]
    heading, length_mm = np.arctan2(step[:, 1], step[:, 0]), np.hypot(step[:, 0], step[:, 1])
    first = np.flatnonzero(np.diff(ring, prepend=-1))
    count = np.diff(np.append(first, len(ring)))
    base, at = np.repeat(first, count), within_runs(count)

    def neighbour(column: FloatArray, step: int) -> FloatArray:
        """A column of edges, so many edges on within each ring."""
        moved: FloatArray = column[base + (at + step) % np.repeat(count, count)]
        return moved

    turn = np.abs(np.mod(heading - neighbour(heading, -1) + np.pi, 2 * np.pi) - np.pi)
    arriving = np.maximum(neighbour(length_mm, -1), neighbour(length_mm, -2))
    leaving = np.maximum(length_mm, neighbour(length_mm, 1))
    lost_mm = np.where(turn > _CUSP_RAD, 2 * _CHORDS_LOST * np.minimum(arriving, leaving), 0.0)
    total, lost = (np.bincount(owner[ring], weights=of, minlength=len(outline)) for of in (turn, lost_mm))
    return Turning(np.asarray(total, dtype=np.float64), np.asarray(lost, dtype=np.float64))
