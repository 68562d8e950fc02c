"""Discs that face, as `facing` defines them, on either side of an outline; and the best of each region."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.facing_rules import (
    TAPER_RAD,
    TIP_SIDE_MM,
    are_ends_of_tapers,
    contact_reach,
    empty_radius,
    faces,
    looseness,
    might_face,
    narrower,
)
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.touching import Medial, Touching
from pastecheck.geometry.walls import (
    Walls,
    angle_between,
    are_empty,
    chunks_of,
    dot,
    nearest_on,
    sides_near,
)

_SAME_SIZE_MM = 1e-6
_LEAST_COSINE = 1e-3


class Discs(NamedTuple):
    """One disc for each outline, NaN where there is none. Shape (s,) and (s, 2)."""

    diameter_mm: FloatArray
    error_mm: FloatArray
    """How far the diameter can be from that in the true outline."""
    begin_mm: FloatArray
    """Where it touches on one side..."""
    end_mm: FloatArray
    """... and on the other. The tip of a sharp corner (D) is both."""

    def rows(self, rows: IntArray | BoolArray) -> "Discs":
        """Of some outlines."""
        return Discs(self.diameter_mm[rows], self.error_mm[rows], self.begin_mm[rows], self.end_mm[rows])

    def put(self, rows: IntArray, discs: "Discs") -> None:
        """Write discs to these rows."""
        for column, values in zip(self, discs, strict=True):
            column[rows] = values

    def put_ends(self, ends: "Discs") -> None:
        """Write the ends of tapers (E) that count beside what is known of each outline."""
        rows = np.flatnonzero(narrower(ends.diameter_mm, self.diameter_mm))
        self.put(rows, ends.rows(rows))


class Touched(NamedTuple):
    """Discs of regions, and two of their touches. Shape (k,), (k, 2)."""

    region: IntArray
    radius_mm: FloatArray
    begin_mm: FloatArray
    end_mm: FloatArray
    looseness: FloatArray
    """By how many tolerances more than others the diameter can be off."""

    def rows(self, kept: BoolArray | IntArray) -> "Touched":
        """Some of them."""
        begin, end = self.begin_mm[kept], self.end_mm[kept]
        return Touched(self.region[kept], self.radius_mm[kept], begin, end, self.looseness[kept])


def all_of(parts: list[Touched]) -> Touched:
    """Discs behind one another."""
    region, radius, begin, end, loose = (np.concatenate(of) for of in zip(*parts, strict=True))
    return Touched(region, radius, begin, end, loose)


def no_discs(count: int) -> Discs:
    """Nothing, for so many outlines."""
    return Discs(
        np.full(count, np.nan),
        np.full(count, np.nan),
        np.full((count, 2), np.nan),
        np.full((count, 2), np.nan),
    )


def _angles(vertices: Touching) -> FloatArray:
    """Angles between touch directions; column k is of those other than touch k. Shape (k, 3)."""
    direction = vertices.touch_mm - vertices.centre_mm[:, None]
    return angle_between(direction[:, [1, 2, 0]], direction[:, [2, 0, 1]])


def of_axis(vertices: Touching) -> Touched:
    """Vertices of the medial axis with the two touches that are farthest apart."""
    rows, third = np.arange(len(vertices.region)), _angles(vertices).argmax(axis=1)
    one, other = vertices.touch_mm[rows, (third + 1) % 3], vertices.touch_mm[rows, (third + 2) % 3]
    return Touched(vertices.region, vertices.radius_mm, one, other, np.zeros(len(rows)))


def ends_of_tapers(vertices: Touching) -> Touched:
    """
    Discs of kind E.

    From a vertex of the medial axis one edge leads between each two of its touches. It leads to where the
    walls come closer if the third touch, seen along the two, lies behind them.
    """
    angle = _angles(vertices)
    direction = vertices.touch_mm - vertices.centre_mm[:, None]
    direction /= np.maximum(vertices.radius_mm, _SAME_SIZE_MM)[:, None, None]
    both = direction[:, [1, 2, 0]] + direction[:, [2, 0, 1]]
    closer = dot(both, direction) < 1 + np.cos(angle)
    taper = angle >= TAPER_RAD - _SAME_SIZE_MM
    ends = (taper & ~closer).any(axis=1) & ~(taper & closer).any(axis=1)
    # two touches in one corner are one: the axis goes on as it was
    ends &= angle.min(axis=1) > _SAME_SIZE_MM
    sorted_ = np.sort(angle[ends], axis=1)
    loose = looseness(sorted_[:, 2], sorted_[:, 1])
    return of_axis(vertices).rows(ends)._replace(looseness=loose)


def facing_discs(walls: Walls, axis: Medial, asked: BoolArray | None = None) -> list[Touched]:
    """
    Discs of kind A and B: of each region the smallest, and some more.

    Those that need a closer look are looked at only where they would be the smallest; or all of those in the
    regions that are asked for, and none in others.
    """
    vertices, angle = axis.vertices, _angles(axis.vertices)
    pairs = of_axis(vertices)
    sure = pairs.rows(faces(angle))
    least = np.full(len(walls.offset) - 1, np.inf)
    if asked is None:
        np.minimum.at(least, sure.region, sure.radius_mm)
    else:
        least[~asked] = 0.0
    waist = _waists(walls, axis)
    waist = waist.rows(waist.radius_mm < least[waist.region])
    centre = (waist.begin_mm + waist.end_mm) / 2
    waist = waist.rows(are_empty(walls, waist.region, centre, empty_radius(waist.radius_mm)))
    if asked is None:
        np.minimum.at(least, waist.region, waist.radius_mm)
    maybe = np.flatnonzero(might_face(angle) & (vertices.radius_mm < least[vertices.region]))
    return [sure, waist, pairs.rows(maybe[_have_wide_contact(walls, vertices, maybe)])]


def _waists(walls: Walls, axis: Medial) -> Touched:
    """Discs between reflex vertices and the nearest point of what lies across."""
    vertex = walls.begin_mm[axis.reflex]
    across = nearest_on(walls, axis.across, vertex)
    radius = np.hypot(*(across - vertex).T) / 2
    return Touched(walls.region[axis.reflex], radius, vertex, across, np.zeros(len(radius)))


def _have_wide_contact(walls: Walls, vertices: Touching, rows: IntArray) -> BoolArray:
    """Whether all sides that nearly touch a disc make it the end of a taper (B)."""
    wide = np.zeros(len(rows), bool)
    region, centre = vertices.region[rows], vertices.centre_mm[rows]
    reach = contact_reach(vertices.radius_mm[rows])
    for chunk in chunks_of(20 * (walls.block_offset[region + 1] - walls.block_offset[region])):
        near = sides_near(walls, region[chunk], centre[chunk], reach[chunk])
        about = centre[chunk][near.place]
        away = nearest_on(walls, near.side, about) - about
        met = np.hypot(*away.T) <= reach[chunk][near.place]
        wide[chunk] = are_ends_of_tapers(near.place[met], away[met], len(chunk))
    return wide


def tips(walls: Walls) -> Touched:
    """Corners sharper than 20 degrees between long sides (D), as discs of no size."""
    long = walls.length_mm >= TIP_SIDE_MM - _SAME_SIZE_MM
    at = np.flatnonzero((walls.turn_rad > TAPER_RAD + _SAME_SIZE_MM) & long & long[walls.before])
    nothing = np.zeros(len(at))
    return Touched(walls.region[at], nothing, walls.begin_mm[at], walls.begin_mm[at], nothing)


def best_of(found: list[Touched], walls: Walls, tolerance_mm: FloatArray, *, largest: bool = False) -> Discs:
    """The smallest disc of each region, or the largest; of those as large the one that lies lowest."""
    region, radius, begin, end, loose = all_of(found)
    size = np.rint((-radius if largest else radius) / _SAME_SIZE_MM)
    x, y = np.rint((begin + end).T / _SAME_SIZE_MM)
    order = np.lexsort((x, y, size, region))
    order = order[np.diff(region[order], prepend=-1) != 0]
    best, at = no_discs(len(tolerance_mm)), region[order]
    best.put(at, Discs(2 * radius[order], np.zeros(len(at)), begin[order], end[order]))
    loose = loose[order] + sum(_loose_vertices(walls, touch)[at] for touch in (best.begin_mm, best.end_mm))
    best.error_mm[at] = 2 * (tolerance_mm[at] + FLATNESS_MM) + loose * tolerance_mm[at]
    return best


def _loose_vertices(walls: Walls, touch_mm: FloatArray) -> FloatArray:
    """
    By how many tolerances more than a wall the vertices are off that are touched. Shape (s,), 0 for none.

    Where two sides that are each off by t meet, they meet within t / cos(turn / 2): far off where curves meet
    almost as tangents.

    Args:
        walls: Of s regions.
        touch_mm: A touch in each. Shape (s, 2).
    """
    away = np.abs(walls.begin_mm - touch_mm[walls.region]).max(axis=1, initial=0.0)
    touched = np.flatnonzero(away < _SAME_SIZE_MM)  # NaN where there is no disc
    loose = np.zeros(len(touch_mm))
    cosine = np.maximum(np.cos(walls.turn_rad[touched] / 2), _LEAST_COSINE)
    np.maximum.at(loose, walls.region[touched], 1 / cosine - 1)
    return loose
