"""Where outlines turn: at vertices, or evenly along the facets of flattened curves."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.walls import Corners, corners_of, cross, dot
from pastecheck.ragged import within_runs

GeometryArray = NDArray[np.object_]

FACET_RAD: Final = np.radians(30)
"""What turns so much at one vertex is a corner, and no curve drawn in facets."""
ROUNDING_RAD: Final = 1e-6

_FINE_MM: Final = 2 * FLATNESS_MM
_FLATTENED_MM: Final = _FINE_MM + 3 * FLATNESS_MM
"""A facet of a curve that we flattened lies less off it, also where vertices beside it were merged."""
_PASSES: Final = 8
_LEAST_CORNERS: Final = 6
"""Rings of fewer corners are left as they are: something of each must remain."""
_LESS_THAN_A_STEP: Final = 0.9
_EVEN: Final = 2.0
"""A facet of a curve is at most so many times as long as those beside it; a straight side is longer."""


class Bends(NamedTuple):
    """
    Vertices of all rings, each followed by its side; n rows, those of a ring behind one another.

    Each ring begins behind its longest straight side if it has one, else behind its longest facet, and has
    the inside of its outline to the left: a left turn is a convex corner.
    """

    at_mm: FloatArray
    """Vertices. Shape (n, 2)."""
    along: FloatArray
    """Unit vectors of the sides. Shape (n, 2)."""
    length_mm: FloatArray
    """Of the sides."""
    corner_rad: FloatArray
    """Turn at the vertex, positive to the left; 0 where it is one of a curve."""
    curve_rad: FloatArray
    """Turn spread along the side; 0 where it is straight."""
    ring: IntArray
    owner: IntArray
    """Outline of each ring. Shape (rings,)."""
    begin: IntArray
    """First row of each ring. Shape (rings,)."""

    @property
    def before(self) -> IntArray:
        """Row of the vertex before each, around its ring."""
        rows = np.arange(len(self.ring)) - 1
        rows[self.begin] = np.append(self.begin[1:], len(self.ring)) - 1
        return rows


def bends_of(outline: GeometryArray) -> Bends:
    """
    Turns of outlines, told apart by whether they are corners or curves.

    A side is a facet of a curve if both its vertices turn the same way by less than 30 degrees, and neither
    side beside it is shorter than half of it or an arc instead of it stays within the flatness. Half the
    turn of a vertex between two facets goes to each. A vertex between a facet and a straight side gives all
    its turn if it is less than those within the curve, for there an arc with its vertices on it turns half a
    step; else half, for the facets lie about their arc.

    Args:
        outline: Polygons, in mm. Shape (s,).
    """
    corners = _smoothed(corners_of(outline))
    before, after = corners.neighbours()
    along, length, turn = _turns(corners)
    gentle = np.abs(turn) < FACET_RAD - ROUNDING_RAD
    curved = gentle & gentle[after] & (turn * turn[after] > 0)
    even = length <= _EVEN * np.minimum(length[before], length[after])
    curved &= even | (length * np.abs(turn + turn[after]) / 16 <= FLATNESS_MM)
    to_curve = curved | curved[before]
    inner = np.maximum(np.abs(turn[before]) * curved[before], np.abs(turn[after]) * curved)
    whole = to_curve & ~(curved & curved[before]) & (np.abs(turn) <= _LESS_THAN_A_STEP * inner)
    share = np.where(whole, turn, turn / 2) * to_curve
    curve = np.where(curved, share + share[after], 0.0)
    order, begin = _begun_well(corners.ring, length, curved)
    return Bends(
        corners.at_mm[order],
        along[order],
        length[order],
        (turn - share * (1.0 + (curved & curved[before])))[order],
        _levelled(curve[order], length[order], corners.ring),
        corners.ring,
        corners.owner,
        begin,
    )


def longest_facets_mm(outline: GeometryArray) -> FloatArray:
    """
    The longest chord of a flattened curve in each outline; 0 where there is none. Shape (s,).

    A side that turns by t lies its length x t / 8 off the arc in its place. Curves are flattened closer than
    that of what is farther off: such sides are of polygons, and were drawn so.
    """
    bends = bends_of(outline)
    may_be = (bends.curve_rad != 0) & (bends.length_mm * np.abs(bends.curve_rad) / 8 <= _FLATTENED_MM)
    longest_mm = np.zeros(len(outline))
    np.maximum.at(longest_mm, bends.owner[bends.ring], np.where(may_be, bends.length_mm, 0.0))
    return longest_mm


class Curves(NamedTuple):
    """Facets of curves, those of a curve behind one another."""

    facet: IntArray
    """Rows of bends."""
    first: IntArray
    """Where each curve begins among the facets."""
    facets: IntArray
    """How many each has."""


def curves_of(curve_rad: FloatArray, ring: IntArray) -> Curves:
    """Runs of facets that turn one way."""
    facet = np.flatnonzero(curve_rad)
    begins = (np.diff(facet, prepend=-2) != 1) | (np.diff(ring[facet], prepend=-1) != 0)
    begins |= np.diff(np.sign(curve_rad[facet]), prepend=0.0) != 0
    first = np.flatnonzero(begins)
    return Curves(facet, first, np.diff(np.append(first, len(facet))))


def _levelled(curve_rad: FloatArray, length_mm: FloatArray, ring: IntArray) -> FloatArray:
    """
    The same turns, the first two and the last two facets of each curve turning evenly.

    Arcs are flattened with their ends in place and what is between moved outward. So the end facet is turned
    a sixth of a step too far, and the next too little.
    """
    curves = curves_of(curve_rad, ring)
    if not len(curves.first):
        return curve_rad
    place, count = within_runs(curves.facets), np.repeat(curves.facets, curves.facets)
    with_before = (place == 1) | (place == count - 1) & (place > 0) | (count == 3) & (place == 2)
    pool = np.flatnonzero(~with_before)
    turn, length = curve_rad[curves.facet], length_mm[curves.facet]
    bend = np.add.reduceat(turn, pool) / np.add.reduceat(length, pool)
    levelled = curve_rad.copy()
    levelled[curves.facet] = np.repeat(bend, np.diff(np.append(pool, len(turn)))) * length
    return levelled


def _turns(corners: Corners) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Direction and length of the side behind each corner, and the turn at the corner."""
    before, after = corners.neighbours()
    step = corners.at_mm[after] - corners.at_mm
    length = np.hypot(*step.T)
    along = step / length[:, None]
    return along, length, np.arctan2(cross(along[before], along), dot(along[before], along))


def _smoothed(corners: Corners) -> Corners:
    """
    Corners without what is finer than twice the flatness: sides as short, and teeth as high.

    Where two flattened arcs of one circle are united, their facets cross again and again: an outline that
    turns left and right by turns. The smaller turns go.
    """
    for _ in range(_PASSES):
        before, after = corners.neighbours()
        _, length, turn = _turns(corners)
        short = length[before] <= _FINE_MM
        height = np.minimum(length, length[before]) * np.abs(np.sin(turn))
        tooth = (turn * turn[before] < 0) & (turn * turn[after] < 0) & (height <= _FINE_MM)
        tooth &= np.abs(turn) < np.minimum(np.abs(turn[before]), np.abs(turn[after]))
        gone = (short & ~short[before]) | (tooth & ~short)
        gone &= np.bincount(corners.ring)[corners.ring] >= _LEAST_CORNERS
        if not gone.any():
            break
        corners = Corners(corners.at_mm[~gone], corners.ring[~gone], corners.owner)
    return corners


def _begun_well(ring: IntArray, length_mm: FloatArray, curved: BoolArray) -> tuple[IntArray, IntArray]:
    """Rows of each ring from behind its longest straight side, else facet; and where each ring begins."""
    begin = np.flatnonzero(np.diff(ring, prepend=-1))
    count = np.diff(np.append(begin, len(ring)))
    last = np.lexsort((length_mm, ~curved, ring))[begin + count - 1]
    shift = np.repeat(last - begin + 1, count)
    return np.repeat(begin, count) + (within_runs(count) + shift) % np.repeat(count, count), begin
