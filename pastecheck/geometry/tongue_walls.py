"""How long the two walls of a tongue are: what juts into an outline from outside, held at one end only."""

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray
from pastecheck.geometry.alongside import (
    NEAR_GAPS,
    Pieces,
    Stretches,
    boxes_of,
    may_face,
    pieces_of,
    rows_of,
    stretches_facing,
)
from pastecheck.geometry.walls import dot, outer

GeometryArray = NDArray[np.object_]

_BREAK = 0.5
"""Breaks of up to so many widths do not end a wall; the bottom of a slot, a width long, does."""


def wall_lengths(
    outline: GeometryArray, width_mm: FloatArray, begin_mm: FloatArray, end_mm: FloatArray
) -> FloatArray:
    """
    Length of the shorter of the two walls that run alongside each other at a place outside an outline.

    A wall is what lies along the outer ring from where a disc touches it, as long as it is within 1.2 widths
    of another piece of the ring and faces it, in the sense of `facing_lengths`; breaks of up to half a width
    are bridged. Other tongues of the same outline do not count.

    Args:
        outline: Polygons in mm; holes are of no matter. Shape (k,).
        width_mm: Of the tongue where it is narrowest. Shape (k,).
        begin_mm: A touch on the one wall. Shape (k, 2).
        end_mm: A touch on the other. Shape (k, 2).

    Returns:
        Shape (k,), in mm. On flattened arcs each end is off by at most half a facet.

    Cost:
        A loop over outlines, of which only those with tongues are asked.
    """
    length = np.zeros(len(outline))
    rings = outer(outline)
    for row, (width, begin, end) in enumerate(zip(width_mm.tolist(), begin_mm, end_mm, strict=True)):
        pieces = pieces_of(rings[row : row + 1], np.zeros(1))
        side = np.flatnonzero(~pieces.is_arc)
        at = np.concatenate([[0.0], np.cumsum(pieces.extent[side])])
        low, high = _runs(_facing(pieces, NEAR_GAPS * width), at, _BREAK * width)
        touched = [_place_of(rows_of(pieces, side), at, touch) for touch in (begin, end)]
        length[row] = min(_length_about(low, high, place, at[-1], _BREAK * width) for place in touched)
    return length


def _facing(pieces: Pieces, near_mm: float) -> Stretches:
    """Where sides of a ring are near other pieces of it and face them. The sides come first in the ring."""
    side = np.flatnonzero(~pieces.is_arc)
    low, high = np.split(boxes_of(pieces), 2, axis=1)
    boxes = shapely.box(*low.T, *high.T)
    row, across = shapely.STRtree(np.asarray(boxes, np.object_)).query(
        shapely.box(*(low[side] - near_mm).T, *(high[side] + near_mm).T)
    )
    other = side[row] != across
    row, across = side[row[other]], across[other]
    near = np.full(len(row), near_mm)
    kept = may_face(rows_of(pieces, row), rows_of(pieces, across), near)
    row, across, near = row[kept], across[kept], near[kept]
    found = stretches_facing(rows_of(pieces, row), rows_of(pieces, across), near)
    return found._replace(piece=row[found.piece])


def _runs(found: Stretches, at: FloatArray, gap_mm: float) -> tuple[FloatArray, FloatArray]:
    """Stretches as places along the ring, gone round twice, joined where they follow within a gap."""
    low, high = at[found.piece] + found.begin, at[found.piece] + found.end
    low, high = np.concatenate([low, low + at[-1]]), np.concatenate([high, high + at[-1]])
    order = np.argsort(low)
    low, high = low[order], np.maximum.accumulate(high[order])
    begins = np.flatnonzero(np.concatenate([[True], low[1:] > high[:-1] + gap_mm]))[: len(low)]
    return low[begins], high[np.append(begins[1:], len(high)) - 1] if len(low) else high


def _place_of(sides: Pieces, at: FloatArray, point_mm: FloatArray) -> float:
    """Where a point lies along a ring."""
    to_point = point_mm - sides.begin_mm
    foot = np.clip(dot(to_point, sides.along), 0.0, sides.extent)
    away = to_point - foot[:, None] * sides.along
    nearest = int(dot(away, away).argmin())
    return float(at[nearest] + foot[nearest])


def _length_about(low: FloatArray, high: FloatArray, place: float, around: float, gap_mm: float) -> float:
    """Length of the run at a place, or next to it; 0 where there is none."""
    length = 0.0
    for turn in (0.0, around):
        met = (low <= place + turn + gap_mm) & (place + turn <= high + gap_mm)
        length = max(length, float((high - low)[met].max(initial=0.0)))
    return min(length, around)
