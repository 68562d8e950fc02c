"""How long the two walls of a tongue are: what juts into an outline from outside, held at one end only."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
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
from pastecheck.ragged import distinct

GeometryArray = NDArray[np.object_]

_ROWS_AT_ONCE = 1_000_000
_BREAK = 0.5
"""Breaks of less than so many widths do not end a wall."""


class _Parts(NamedTuple):
    """Sides of outer rings, cut where the rings are halved, and their convex corners; n rows, by ring."""

    pieces: Pieces
    is_second: BoolArray
    """Whether it is of the half with the second touch."""
    place_mm: FloatArray
    """Where it begins, along its half."""


class _Halves(NamedTuple):
    """The two halves of a ring about two touches, each half as long as the ring."""

    begin_mm: FloatArray
    """Where each begins, along the ring. Shape (2,)."""
    touch_mm: FloatArray
    """How far on each is touched. Shape (2,)."""
    around_mm: float


def wall_lengths(
    outline: GeometryArray, width_mm: FloatArray, begin_mm: FloatArray, end_mm: FloatArray
) -> FloatArray:
    """
    Length of the shorter of the two walls that run alongside each other at a place outside an outline.

    The outer ring is halved, half way between two touches on either way round: one half ends at the tongue's
    free end. A wall is what lies along a half from where a disc touches it, as long as it is within 1.2
    widths of the other half and faces it, in the sense of `facing_lengths`; breaks of less than half a width
    are bridged.

    Args:
        outline: Polygons in mm; holes are of no matter. Shape (k,).
        width_mm: Of the tongue where it is narrowest. Shape (k,).
        begin_mm: A touch on the one wall. Shape (k, 2).
        end_mm: A touch on the other. Shape (k, 2).

    Returns:
        Shape (k,), in mm. On flattened arcs each end is off by at most half a facet; and a break that is just
        half a width long is bridged or not.

    Cost:
        A loop over outlines, of which only those with tongues are asked.
    """
    length = np.zeros(len(outline))
    if not len(outline):
        return length
    pieces = pieces_of(outer(outline), np.zeros(len(outline)))
    begins = np.searchsorted(pieces.shape, np.arange(len(outline) + 1)).tolist()
    rows = [np.arange(first, last) for first, last in pairwise(begins)]
    halved = [
        _halved(rows_of(pieces, every), touch, other)
        for every, touch, other in zip(rows, begin_mm, end_mm, strict=True)
    ]
    parts, halves = _joined([part for part, _ in halved]), [half for _, half in halved]
    found = _facing(parts, NEAR_GAPS * width_mm)
    starts = np.searchsorted(parts.pieces.shape[found.piece], np.arange(len(outline) + 1)).tolist()
    for row, (first, last) in enumerate(pairwise(starts)):
        part = found.piece[first:last]
        low = parts.place_mm[part] + found.begin[first:last]
        high = parts.place_mm[part] + found.end[first:last]
        length[row] = min(
            _length_about(low[on_half], high[on_half], float(touch), _BREAK * width_mm[row])
            for on_half, touch in zip(
                (~parts.is_second[part], parts.is_second[part]), halves[row].touch_mm, strict=True
            )
        )
    return length


def _halved(pieces: Pieces, touch_mm: FloatArray, other_mm: FloatArray) -> tuple[_Parts, _Halves]:
    """A ring in parts of two halves, about a touch and about another."""
    is_side = ~pieces.is_arc
    sides, corners = rows_of(pieces, is_side), rows_of(pieces, pieces.is_arc)
    at = np.concatenate([[0.0], np.cumsum(sides.extent)])  # the sides of a ring come in order around it
    around = float(at[-1])
    one, other = (_place_of(sides, at, touch) for touch in (touch_mm, other_mm))
    apart = (other - one) % around
    begin = np.array([other + (around - apart) / 2, one + apart / 2]) % around
    halves = _Halves(begin, np.array([around - apart, apart]) / 2, around)
    ends = distinct(np.concatenate([at, begin]))
    side = np.searchsorted(at, (ends[1:] + ends[:-1]) / 2, side="right") - 1
    on = ends[:-1] - at[side]
    cut = rows_of(sides, side)
    cut = cut._replace(begin_mm=cut.begin_mm + on[:, None] * cut.along, extent=np.diff(ends))
    places = at[_rows_in(sides.begin_mm, corners.begin_mm)]
    middle = np.concatenate([(ends[1:] + ends[:-1]) / 2, places])
    half = ((middle - halves.begin_mm[1]) % around < around / 2).astype(np.int64)
    before = (middle - halves.begin_mm[half]) % around
    long = np.concatenate([cut.extent, np.zeros(len(places))])
    joined = Pieces(*(np.concatenate(both) for both in zip(cut, corners, strict=True)))
    return _Parts(joined, half == 1, before - long / 2), halves


def _rows_in(points_mm: FloatArray, wanted_mm: FloatArray) -> IntArray:
    """Rows of points that are the same as some others."""
    key, wanted = (points[:, 0] + 1j * points[:, 1] for points in (points_mm, wanted_mm))
    order = np.argsort(key)
    return order[np.searchsorted(key[order], wanted)]


def _joined(parts: list[_Parts]) -> _Parts:
    """Parts of rings behind one another."""
    pieces = Pieces(
        *(np.concatenate(column) for column in zip(*(part.pieces for part in parts), strict=True))
    )
    is_second = np.concatenate([part.is_second for part in parts])
    return _Parts(pieces, is_second, np.concatenate([part.place_mm for part in parts]))


def _facing(parts: _Parts, near_mm: FloatArray) -> Stretches:
    """Where sides of a half are near pieces of the other half and face them; in order of the pieces."""
    pieces = parts.pieces
    side = np.flatnonzero(~pieces.is_arc)
    box = boxes_of(pieces)
    # rings are told apart in one tree by their place: each has a strip of its own
    strip = box[:, 2].max() - box[:, 0].min() + 2 * near_mm.max() + 1.0
    box[:, [0, 2]] += (pieces.shape * strip)[:, None]
    near = near_mm[pieces.shape[side]][:, None]
    boxes = np.asarray(shapely.box(*box.T), np.object_)
    around = shapely.box(*np.hstack([box[side, :2] - near, box[side, 2:] + near]).T)
    row, across = shapely.STRtree(boxes).query(around)
    found = []
    for chunk in np.array_split(np.arange(len(row)), len(row) // _ROWS_AT_ONCE + 1):
        one, other = side[row[chunk]], across[chunk]
        apart = parts.is_second[one] != parts.is_second[other]
        one, other = one[apart], other[apart]
        kept = may_face(rows_of(pieces, one), rows_of(pieces, other), near_mm[pieces.shape[one]])
        one, other = one[kept], other[kept]
        part = stretches_facing(rows_of(pieces, one), rows_of(pieces, other), near_mm[pieces.shape[one]])
        found.append(part._replace(piece=one[part.piece]))
    piece = np.concatenate([part.piece for part in found])
    order = np.argsort(piece, kind="stable")
    begin, end = (np.concatenate([part[k] for part in found])[order] for k in (1, 2))
    return Stretches(piece[order], begin, end)


def _place_of(sides: Pieces, at: FloatArray, point_mm: FloatArray) -> float:
    """Where a point lies along a ring."""
    to_point = point_mm - sides.begin_mm
    foot = np.clip(dot(to_point, sides.along), 0.0, sides.extent)
    away = to_point - foot[:, None] * sides.along
    nearest = int(dot(away, away).argmin())
    return float(at[nearest] + foot[nearest])


def _length_about(low: FloatArray, high: FloatArray, place: float, gap_mm: float) -> float:
    """Length of the run of stretches at a place, or next to it; 0 where there is none."""
    order = np.argsort(low)
    low, high = low[order], np.maximum.accumulate(high[order])
    if not len(low):
        return 0.0
    begins = np.flatnonzero(np.concatenate([[True], low[1:] > high[:-1] + gap_mm]))
    low, high = low[begins], high[np.append(begins[1:], len(high)) - 1]
    met = (low <= place + gap_mm) & (place <= high + gap_mm)
    return float((high - low)[met].max(initial=0.0))
