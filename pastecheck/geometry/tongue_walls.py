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

_ROWS_AT_ONCE = 1_000_000
_BREAK = 0.5
"""Breaks of up to so many widths do not end a wall; the bottom of a slot, a width long, does."""
_SAME_MM = 1e-9


def wall_lengths(
    outline: GeometryArray, width_mm: FloatArray, begin_mm: FloatArray, end_mm: FloatArray
) -> FloatArray:
    """
    Length of the shorter of the two walls that run alongside each other at a place outside an outline.

    A wall is what lies along the outer ring from where a disc touches it, as long as it is within 1.2 widths
    of another piece of the ring and faces it, in the sense of `web_lengths`; breaks of up to half a width
    are bridged. Where one such stretch holds both walls, as about a pocket whose ends face each other too, it
    is cut half way between them. Other tongues of the same outline do not count.

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
    if not len(outline):
        return length
    pieces = pieces_of(outer(outline), np.zeros(len(outline)))
    found = _facing(pieces, NEAR_GAPS * width_mm)
    begins, starts = (
        np.searchsorted(of, np.arange(len(outline) + 1)) for of in (pieces.shape, pieces.shape[found.piece])
    )
    for row, width in enumerate(width_mm.tolist()):
        every = np.arange(begins[row], begins[row + 1])
        side = every[~pieces.is_arc[every]]  # the sides of a ring come first, in order around it
        at = np.concatenate([[0.0], np.cumsum(pieces.extent[side])])
        of_ring = slice(starts[row], starts[row + 1])
        place = at[found.piece[of_ring] - begins[row]]
        low, high = _runs(place + found.begin[of_ring], place + found.end[of_ring], at[-1], _BREAK * width)
        sides = rows_of(pieces, side)
        touched = [_place_of(sides, at, touch[row]) for touch in (begin_mm, end_mm)]
        walls = [_wall_about(low, high, touch, at[-1], _BREAK * width) for touch in touched]
        length[row] = _shorter(walls, touched, at[-1], _BREAK * width)
    return length


def _facing(pieces: Pieces, near_mm: FloatArray) -> Stretches:
    """Where sides of rings are near other pieces of their ring and face them; in order of the pieces."""
    side = np.flatnonzero(~pieces.is_arc)
    box = boxes_of(pieces)
    # rings are told apart in one tree by their place: each has a strip of its own
    strip = box[:, 2].max() - box[:, 0].min() + 2 * near_mm.max() + 1.0
    box[:, [0, 2]] += (pieces.shape * strip)[:, None]
    near = near_mm[pieces.shape[side]][:, None]
    boxes = np.asarray(shapely.box(*box.T), np.object_)
    around = shapely.box(*np.hstack([box[side, :2] - near, box[side, 2:] + near]).T)
    row, across = shapely.STRtree(boxes).query(around)
    parts = []
    for chunk in np.array_split(np.arange(len(row)), len(row) // _ROWS_AT_ONCE + 1):
        one, other = side[row[chunk]], across[chunk]
        one, other = one[one != other], other[one != other]
        kept = may_face(rows_of(pieces, one), rows_of(pieces, other), near_mm[pieces.shape[one]])
        one, other = one[kept], other[kept]
        found = stretches_facing(rows_of(pieces, one), rows_of(pieces, other), near_mm[pieces.shape[one]])
        parts.append(found._replace(piece=one[found.piece]))
    piece = np.concatenate([part.piece for part in parts])
    order = np.argsort(piece, kind="stable")
    begin, end = (np.concatenate([part[k] for part in parts])[order] for k in (1, 2))
    return Stretches(piece[order], begin, end)


def _runs(low: FloatArray, high: FloatArray, around: float, gap_mm: float) -> tuple[FloatArray, FloatArray]:
    """Stretches along a ring, gone round twice, joined where they follow one another within a gap."""
    low, high = np.concatenate([low, low + around]), np.concatenate([high, high + around])
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


_Wall = tuple[float, float]
"""Where a run begins along a ring, and how long it is."""


def _wall_about(low: FloatArray, high: FloatArray, place: float, around: float, gap_mm: float) -> _Wall:
    """The run at a place, or next to it; of length 0 where there is none."""
    begin, length = place, 0.0
    for turn in (0.0, around):
        for met in np.flatnonzero((low <= place + turn + gap_mm) & (place + turn <= high + gap_mm)).tolist():
            if high[met] - low[met] > length:
                begin, length = float(low[met]), float(high[met] - low[met])
    return begin % around, min(length, around)


def _shorter(walls: list[_Wall], touched: list[float], around: float, gap_mm: float) -> float:
    """Length of the shorter of two walls; of one that is both, the shorter part."""
    (begin, length), (other, other_length) = walls
    apart = abs(begin - other) % around
    if min(apart, around - apart) > _SAME_MM or length != other_length:
        return min(length, other_length)
    if length >= around - _SAME_MM:
        return around / 2
    middle = sum((touch - begin + gap_mm) % around - gap_mm for touch in touched) / 2
    return min(middle, length - middle)
