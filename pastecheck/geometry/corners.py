"""Corners and sides as a blade meets them: radius of the sharpest corner, the shortest side between two."""

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.bends import FACET_RAD, ROUNDING_RAD, Bends, bends_of, curves_of
from pastecheck.geometry.walls import cross
from pastecheck.ragged import within_runs

GeometryArray = NDArray[np.object_]

CORNER_RAD: Final = np.radians(60)
"""A stretch that turns so much one way within CORNER_MM is a corner."""
CORNER_MM: Final = 0.08
SIDE_RAD: Final = np.radians(30)
"""A side turns less."""
SIDE_MM: Final = 0.05
"""A shorter side is below any knife's repeatability."""
ROUND: Final = 0.03
"""A ring is a circle if no vertex is farther from the circle of equal area than this part of its radius."""

END_RAD: Final = np.radians(150)
"""The sides before and after a stretch that turns so much do not meet: it is the round end of an opening."""
_ROUNDING_MM: Final = 1e-9
_SAME_MM: Final = 1e-6
"""Lengths and places that differ by less are the same: rounding must not choose among equal sides."""


def corner_radii(core: GeometryArray, radius_mm: FloatArray) -> FloatArray:
    """
    Smallest radius over convex corners; 0 where one is sharp, NaN where nothing turns by 30 degrees.

    A vertex that turns 30 degrees or more is sharp. The facets of a curve have the radius of their length
    over their turn, taken over the tightest 60 degrees: the curve may change its radius along the way.

    Args:
        core: Points, lines or polygons, in mm; curves flattened. Shape (s,).
        radius_mm: Radius about each core. Shape (s,).

    Returns:
        Exact where the core has no curves. Of flattened arcs within 0.1 um, or 5 % where facets of several
        arcs mix; below 2.2 um they read 0, for then their facets turn 30 degrees.
    """
    found = np.where(shapely.get_dimensions(core) == 2, np.nan, 0.0)
    polygons = np.flatnonzero(np.isnan(found))
    bends = bends_of(core[polygons])
    smallest = np.full(len(polygons), np.inf)
    np.minimum.at(smallest, *_radii_of_curves(bends))
    smallest[bends.owner[bends.ring[bends.corner_rad >= FACET_RAD - ROUNDING_RAD]]] = 0.0
    found[polygons] = np.where(smallest < np.inf, smallest, np.nan)
    return found + radius_mm


def _radii_of_curves(bends: Bends) -> tuple[IntArray, FloatArray]:
    """Outlines and smallest radii of their convex curves that turn by 30 degrees or more."""
    convex = np.where(bends.curve_rad > 0, bends.curve_rad, 0.0)
    facet, first, count = curves_of(convex, bends.ring)
    if not len(first):
        return np.zeros(0, np.int64), np.zeros(0)
    length, turn = bends.length_mm[facet], convex[facet]
    whole = np.add.reduceat(length, first) / np.add.reduceat(turn, first)
    turning = np.add.reduceat(turn, first) >= FACET_RAD - ROUNDING_RAD
    curve, radius = _tightest(np.repeat(np.arange(len(first)), count), length, turn)
    owner = bends.owner[bends.ring[facet[first]]]
    return np.concatenate([owner[turning], owner[curve]]), np.concatenate([whole[turning], radius])


def _tightest(curve: IntArray, length: FloatArray, turn: FloatArray) -> tuple[IntArray, FloatArray]:
    """Curves and their radii over all stretches that turn 60 degrees and begin or end with a facet."""
    begin = np.searchsorted(curve, curve)
    end = np.searchsorted(curve, curve, side="right")
    turned, gone = (np.concatenate([[0.0], np.cumsum(of)]) for of in (turn, length))
    rows = np.arange(len(curve))
    curves, radii = [], []
    for at, onward in ((rows, CORNER_RAD), (rows + 1, -CORNER_RAD)):
        other = turned[at] + onward
        kept = (other <= turned[end] + ROUNDING_RAD) & (other >= turned[begin] - ROUNDING_RAD)
        stretch = np.interp(other[kept], turned, gone) - gone[at[kept]]
        curves.append(curve[kept])
        radii.append(np.abs(stretch) / CORNER_RAD)
    return np.concatenate(curves), np.concatenate(radii)


class _Pieces(NamedTuple):
    """Vertices and sides in turn, as pieces of outline: 2 n rows."""

    length_mm: FloatArray
    turn_rad: FloatArray
    """Positive to the left."""
    ring: IntArray
    vertex: IntArray
    """The vertex itself, or the one where the side begins."""


class ShortestSides(NamedTuple):
    """The shortest side of each outline; NaN where there is none."""

    length_mm: FloatArray
    """Shape (s,)."""
    place_mm: FloatArray
    """The middle of the side, or of the circle. Shape (s, 2)."""


class _Found(NamedTuple):
    """Corners: pieces first to last, in order. Shape (c,) each."""

    first: IntArray
    last: IntArray
    at_mm: FloatArray
    """Where the sides before and after meet. Shape (c, 2)."""
    meets: BoolArray
    """Whether the sides before and after it meet."""
    before_mm: FloatArray
    """From where the corner begins on to where they meet."""
    after_mm: FloatArray
    """From there to where it ends."""


def shortest_sides(outline: GeometryArray) -> ShortestSides:
    """
    The shortest side of each outline as a trailing blade meets it.

    Corner: a stretch of outline of at most 0.08 mm that turns 60 degrees or more one way; its place is where
    the sides before and after it meet, so that a rounded corner counts as a sharp one. Side: outline between
    neighbouring corners that turns less than 30 degrees. Sides below 0.05 mm are ignored. A ring that is a
    circle reads its radius. Where a stretch turns 150 degrees or more, as the end of an obround does, its
    sides do not meet, and what it bounds is no side.

    Args:
        outline: Polygons, in mm; curves flattened. Shape (s,).

    Returns:
        Exact for straight sides, between rounded corners too; circles within 0.1 um. Of equal sides the one
        that lies lowest.
    """
    shortest = ShortestSides(np.full(len(outline), np.nan), np.full((len(outline), 2), np.nan))
    if not len(outline):
        return shortest
    bends = bends_of(outline)
    radius, middle = _circles(bends)
    circle = np.flatnonzero(np.isfinite(radius))
    pieces = _pieces_of(bends)
    ring, side, place = _sides(bends, pieces, _corners(bends, pieces))
    straight = np.isnan(radius[ring])
    owner = bends.owner[np.append(circle, ring[straight])]
    length = np.append(radius[circle], side[straight])
    at_mm = np.concatenate([middle[circle], place[straight]])
    best = lowest_of_shortest(owner, length, at_mm)
    shortest.length_mm[owner[best]] = length[best]
    shortest.place_mm[owner[best]] = at_mm[best]
    return shortest


def lowest_of_shortest(owner: IntArray, length_mm: FloatArray, at_mm: FloatArray) -> IntArray:
    """Row of the shortest of what each owner has; of equal ones the one that lies lowest."""
    order = np.lexsort((*np.rint(at_mm.T / _SAME_MM), np.rint(length_mm / _SAME_MM), owner))
    best: IntArray = order[np.diff(owner[order], prepend=-1) != 0]
    return best


def _circles(bends: Bends) -> tuple[FloatArray, FloatArray]:
    """Radius of each ring that is a circle, by its area, which flattening keeps, else NaN; and its middle."""
    one = bends.at_mm - bends.at_mm[bends.begin][bends.ring]
    other = one + bends.along * bends.length_mm[:, None]
    part = cross(one, other) / 2
    area = np.bincount(bends.ring, weights=part)
    middle = np.column_stack(
        [np.bincount(bends.ring, weights=part * xy) / (3 * area) for xy in (one + other).T]
    )
    radius = np.sqrt(np.abs(area) / np.pi)
    off = np.abs(np.hypot(*(one - middle[bends.ring]).T) / radius[bends.ring] - 1)
    circle = np.maximum.reduceat(off, bends.begin) <= ROUND if len(off) else np.zeros(0, bool)
    return np.where(circle, radius, np.nan), middle + bends.at_mm[bends.begin]


def _pieces_of(bends: Bends) -> _Pieces:
    nothing = np.zeros(len(bends.ring))
    rows = np.arange(len(bends.ring))
    return _Pieces(
        np.column_stack([nothing, bends.length_mm]).ravel(),
        np.column_stack([bends.corner_rad, bends.curve_rad]).ravel(),
        np.repeat(bends.ring, 2),
        np.repeat(rows, 2),
    )


def _corners(bends: Bends, pieces: _Pieces) -> _Found:
    """Corners of all rings: sharp ones, and stretches of less sharp turns."""
    sharp = np.abs(pieces.turn_rad) >= CORNER_RAD - ROUNDING_RAD
    sharp &= pieces.length_mm == 0
    first, last = _stretches(pieces, sharp)
    alone = np.flatnonzero(sharp)
    first, last = np.append(first, alone), np.append(last, alone)
    order = np.argsort(first)
    first, last = first[order], last[order]
    turned = np.concatenate([[0.0], np.cumsum(np.abs(pieces.turn_rad))])
    begin, end = pieces.vertex[first], pieces.vertex[last]
    is_side = last % 2 == 1
    end[is_side] = _after(bends)[end[is_side]]
    coming, going = bends.along[bends.before[begin]], bends.along[end]
    span, sine = bends.at_mm[end] - bends.at_mm[begin], cross(coming, going)
    meets = (turned[last + 1] - turned[first] < END_RAD) & (np.abs(sine) > ROUNDING_RAD)
    sine = np.where(meets, sine, 1.0)
    before_mm = cross(span, going) / sine
    at_mm = bends.at_mm[begin] + before_mm[:, None] * coming
    return _Found(first, last, at_mm, meets, before_mm, cross(coming, span) / sine)


def _after(bends: Bends) -> IntArray:
    """Row of the vertex after each, around its ring."""
    after = np.arange(len(bends.ring)) + 1
    after[np.append(bends.begin[1:], len(bends.ring)) - 1] = bends.begin
    return after


def _stretches(pieces: _Pieces, sharp: BoolArray) -> tuple[IntArray, IntArray]:
    """First and last piece of each corner that is no sharp vertex: short stretches that overlap are one."""
    turn = np.where(sharp, 0.0, np.abs(pieces.turn_rad))
    gone, turned = (np.concatenate([[0.0], np.cumsum(of)]) for of in (pieces.length_mm, turn))
    run = _runs(pieces, sharp)
    turning = np.flatnonzero(turn > 0)
    # from where each piece begins, on; and from where it ends, back
    wanted = turned[turning] + CORNER_RAD
    ahead = np.minimum(np.searchsorted(turned[1:], wanted - ROUNDING_RAD), len(turn) - 1)
    reached = _within(turn, turned, ahead, wanted)
    long_ahead = gone[ahead] + reached * pieces.length_mm[ahead] - gone[turning]
    wanted = turned[turning + 1] - CORNER_RAD
    behind = np.maximum(np.searchsorted(turned[:-1], wanted + ROUNDING_RAD, side="right") - 1, 0)
    reached = _within(turn, turned, behind, wanted)
    long_behind = gone[turning + 1] - gone[behind] - reached * pieces.length_mm[behind]
    first = np.concatenate([turning, behind])
    last = np.concatenate([ahead, turning])
    enough = turned[last + 1] - turned[first] >= CORNER_RAD - ROUNDING_RAD
    enough &= np.concatenate([long_ahead, long_behind]) <= CORNER_MM + _ROUNDING_MM
    enough &= run[first] == run[last]
    return _united(first[enough], last[enough], len(turn))


def _within(turn: FloatArray, turned: FloatArray, piece: IntArray, wanted: FloatArray) -> FloatArray:
    """At what part of a piece, 0 to 1, so much is turned."""
    with np.errstate(invalid="ignore", divide="ignore"):
        part: FloatArray = (wanted - turned[piece]) / turn[piece]
    return np.clip(np.nan_to_num(part, nan=0.0), 0.0, 1.0)


def _runs(pieces: _Pieces, sharp: BoolArray) -> IntArray:
    """Runs of pieces that turn one way, sharp corners alone; straight pieces belong to the run before."""
    way = np.sign(pieces.turn_rad)
    turning = np.flatnonzero(way != 0)
    last = np.searchsorted(turning, np.arange(len(way)), side="right") - 1
    way = np.where(last >= 0, way[turning[np.maximum(last, 0)]] if len(turning) else 0.0, 0.0)
    changes = (np.diff(way, prepend=0.0) != 0) | (np.diff(pieces.ring, prepend=-1) != 0)
    changes |= sharp | np.append(False, sharp[:-1])
    runs: IntArray = np.cumsum(changes)
    return runs


def _united(first: IntArray, last: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """Stretches of pieces, those that overlap as one."""
    covered, joined = (
        np.cumsum(np.bincount(first, minlength=count + 1) - np.bincount(last + extra, minlength=count + 1))[
            :count
        ]
        for extra in (1, 0)
    )
    inside = covered > 0
    begins = inside & ~np.append(False, joined[:-1] > 0)
    ends = inside & ~(joined > 0)
    return np.flatnonzero(begins), np.flatnonzero(ends)


def _sides(bends: Bends, pieces: _Pieces, corners: _Found) -> tuple[IntArray, FloatArray, FloatArray]:
    """Rings, lengths and middles of all sides between neighbouring corners."""
    ring = pieces.ring[corners.first]
    begin = np.flatnonzero(np.diff(ring, prepend=-1))
    count = np.diff(np.append(begin, len(ring)))
    base = np.repeat(begin, count)
    following = base + (within_runs(count) + 1) % np.repeat(count, count)
    round_again = following <= np.arange(len(ring))
    gone, turned = (
        np.concatenate([[0.0], np.cumsum(of)]) for of in (pieces.length_mm, np.abs(pieces.turn_rad))
    )
    rows = np.append(2 * bends.begin, len(pieces.ring))

    def between(total: FloatArray) -> FloatArray:
        around = np.where(round_again, (total[rows[1:]] - total[rows[:-1]])[ring], 0.0)
        passed: FloatArray = total[corners.first[following]] - total[corners.last + 1] + around
        return passed

    length = corners.after_mm + between(gone) + corners.before_mm[following]
    side = corners.meets & corners.meets[following] & (between(turned) < SIDE_RAD - ROUNDING_RAD)
    side &= length >= SIDE_MM - _ROUNDING_MM
    middle = (corners.at_mm + corners.at_mm[following]) / 2
    return ring[side], length[side], middle[side]
