"""
Discs that touch the walls of a region in three places: the vertices of its medial axis.

Every point of a wall is touched by one largest disc that lies in the region. Going along a wall, what that
disc touches across from it changes from one side of the outline to another: where it changes, the disc
touches three. So each wall is sampled, and where neighbouring samples touch different sides, the disc that
touches both is computed; if a third side cuts into it, the stretch is split there. All walls of all regions
are followed at the same time.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.walls import Walls, blocks_of, chunks_of, cross, dot, left_of, nearest_on, sides_near
from pastecheck.ragged import within_runs

NOTHING = -1
"""What a disc touches on its other side, if it has the largest radius that is of interest."""

_FAN_STEP_RAD = np.radians(15)
_STRETCH = 0.5
"""Sides are sampled in stretches of so many of the largest radii..."""
_STRETCHES = 8
"""... but never in more than this."""
_ROUNDING_MM = 1e-9
_TOUCHES_MM = 1e-7
_FALSE_POSITIONS = 15
_TURNS = 60
_ROUNDS = 200


_Radii = Callable[[Walls, FloatArray, FloatArray, IntArray], FloatArray]


class Samples(NamedTuple):
    """
    Largest discs at places on walls: n sides, then n fans of normals, one about each vertex. Shape (k,) each.

    The place on a side is a length from its beginning; on the fan of a reflex vertex it is an angle, to the
    right of the normal of the side before.
    """

    wall: IntArray
    at: FloatArray
    touched: IntArray
    """The side on the other side of the disc, or NOTHING."""
    radius_mm: FloatArray

    def rows(self, kept: IntArray | BoolArray) -> "Samples":
        """Some of them."""
        return Samples(self.wall[kept], self.at[kept], self.touched[kept], self.radius_mm[kept])


def joined(parts: list[Samples]) -> Samples:
    """Samples behind one another; there is at least one part."""
    return Samples(
        np.concatenate([part.wall for part in parts]),
        np.concatenate([part.at for part in parts]),
        np.concatenate([part.touched for part in parts]),
        np.concatenate([part.radius_mm for part in parts]),
    )


class Touching(NamedTuple):
    """Discs that touch three walls, or two where one follows the other. Shape (k,) each."""

    region: IntArray
    centre_mm: FloatArray
    """Shape (k, 2)."""
    radius_mm: FloatArray
    touch_mm: FloatArray
    """Shape (k, 3, 2)."""


class Medial(NamedTuple):
    """What is known of medial axes: vertices, and pairs of a reflex vertex and a side across from it."""

    vertices: Touching
    reflex: IntArray
    """Side that begins at the reflex vertex. Shape (m,)."""
    across: IntArray
    """Side that some disc about which the vertex is touched touches too. Shape (m,)."""


def places_on(walls: Walls, wall: IntArray, at: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points on walls and their unit normals into the region. Shape (k, 2) each."""
    sides = len(walls.region)
    on_fan = wall >= sides
    side = np.where(on_fan, wall - sides, wall)
    point = walls.begin_mm[side] + np.where(on_fan, 0.0, at)[:, None] * walls.along[side]
    normal = left_of(walls.along[np.where(on_fan, walls.before[side], side)])
    angle = np.where(on_fan, at, 0.0)
    cosine, sine = np.cos(angle), np.sin(angle)
    turned = np.column_stack(
        [cosine * normal[:, 0] + sine * normal[:, 1], cosine * normal[:, 1] - sine * normal[:, 0]]
    )
    return point, turned


def radii(walls: Walls, point_mm: FloatArray, normal: FloatArray, side: IntArray) -> FloatArray:
    """
    Radii of discs that touch a line with a normal at a point, and a side; infinite where there is none.

    A side at height h over the point: h / (1 - m n), m being its normal. A point at w: w w / (2 n w).
    """
    along_x, along_y, length = walls.along[side, 0], walls.along[side, 1], walls.length_mm[side]
    normal_x, normal_y = normal[:, 0], normal[:, 1]
    x, y = walls.begin_mm[side, 0] - point_mm[:, 0], walls.begin_mm[side, 1] - point_mm[:, 1]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        radius = (along_y * x - along_x * y) / (1 + along_y * normal_x - along_x * normal_y)
        foot = (radius * normal_x - x) * along_x + (radius * normal_y - y) * along_y
        on_side = (radius >= 0) & (foot >= -_ROUNDING_MM) & (foot <= length + _ROUNDING_MM)
        radius = np.where(on_side, radius, np.inf)
        radius = np.fmin(radius, _radii_through(x, y, normal_x, normal_y))
        x, y = x + length * along_x, y + length * along_y
        return np.fmin(radius, _radii_through(x, y, normal_x, normal_y))


def _radii_through(x: FloatArray, y: FloatArray, normal_x: FloatArray, normal_y: FloatArray) -> FloatArray:
    """Radii of discs that touch a line with a normal, and go through a point that far from the touch."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ahead = normal_x * x + normal_y * y
        return np.where(ahead > 0, (x * x + y * y) / (2 * ahead), np.inf)


def _radii_to_corners(walls: Walls, point_mm: FloatArray, normal: FloatArray, side: IntArray) -> FloatArray:
    """As `radii`, for the corner at the beginning of each side alone."""
    x, y = walls.begin_mm[side, 0] - point_mm[:, 0], walls.begin_mm[side, 1] - point_mm[:, 1]
    return _radii_through(x, y, normal[:, 0], normal[:, 1])


def largest_discs(
    walls: Walls, wall: IntArray, at: FloatArray, most_mm: FloatArray, known: IntArray | None = None
) -> Samples:
    """
    The largest disc in the region that touches each place of a wall.

    Args:
        walls: Sides of the regions.
        wall: Of each place. Shape (k,).
        at: Where on the wall. Shape (k,).
        most_mm: Radius beyond which discs are of no interest. Shape (k,).
        known: Side that is touched by a disc of that radius, where there is one. Shape (k,).
    """
    touched = np.full(len(wall), NOTHING) if known is None else known.copy()
    radius = most_mm.copy()
    side = np.where(wall >= len(walls.region), wall - len(walls.region), wall)
    region = walls.region[side]
    point, normal = places_on(walls, wall, at)
    if known is None:
        weight = walls.block_offset[region + 1] - walls.block_offset[region]
        for rows in chunks_of(weight):
            place, block = blocks_of(walls, region[rows])
            first = walls.block[block]
            _shrink(walls, rows[place], first, (wall, point, normal), (radius, touched), _radii_to_corners)
    weight = 20 * (walls.block_offset[region + 1] - walls.block_offset[region])
    for rows in chunks_of(weight):
        centre = point[rows] + radius[rows, None] * normal[rows]
        near = sides_near(walls, region[rows], centre, radius[rows])
        _shrink(walls, rows[near.place], near.side, (wall, point, normal), (radius, touched), radii)
    return Samples(wall, at, touched, radius)


def _shrink(
    walls: Walls,
    row: IntArray,
    side: IntArray,
    places: tuple[IntArray, FloatArray, FloatArray],
    found: tuple[FloatArray, IntArray],
    radii_of: _Radii,
) -> None:
    """Make the disc of each row no larger than its sides allow. row: sorted."""
    wall, point, normal = places
    radius, touched = found
    other = ~_share_a_touch(walls, wall[row], side)
    row, side = row[other], side[other]
    if not len(row):
        return
    allowed = radii_of(walls, point[row], normal[row], side)
    begins = np.flatnonzero(np.diff(row, prepend=-1))
    least = np.minimum.reduceat(allowed, begins)
    is_least = allowed <= np.repeat(least, np.diff(np.append(begins, len(row))))
    of_least = np.full(len(radius), NOTHING)
    of_least[row[is_least][::-1]] = side[is_least][::-1]
    smaller = row[begins][least < radius[row[begins]]]
    radius[row[begins]] = np.minimum(radius[row[begins]], least)
    touched[smaller] = of_least[smaller]


def _share_a_touch(walls: Walls, wall: IntArray, side: IntArray) -> BoolArray:
    """Whether a wall is the side or meets it at a reflex vertex: no disc touches both apart."""
    sides = len(walls.region)
    own = np.where(wall >= sides, wall - sides, wall)
    on_fan = wall >= sides
    before = (side == walls.before[own]) & (on_fan | (walls.turn_rad[own] < 0))
    following = walls.after[own]
    after = ~on_fan & (side == following) & (walls.turn_rad[following] < 0)
    shared: BoolArray = (side == own) | before | after
    return shared


def medial(walls: Walls, most_mm: FloatArray) -> Medial:
    """
    Vertices of the medial axes of regions, as far as discs are not larger than a radius.

    Args:
        walls: Sides of the regions. n of them.
        most_mm: Largest radius that is of interest, for each region. Shape (s,).

    Cost:
        About as many discs as 6 n, each found among some 2 root n sides.
    """
    samples = _both_ways(walls, _first_samples(walls, most_mm))
    order = np.lexsort((samples.at, samples.wall))
    samples = samples.rows(order)
    apart = np.flatnonzero(
        (np.diff(samples.wall) == 0)
        & (np.diff(samples.touched) != 0)
        & (np.diff(samples.at) > np.finfo(float).tiny)
    )
    low, high = samples.rows(apart), samples.rows(apart + 1)
    vertices, split = [], [samples]
    for _ in range(_ROUNDS):
        if not len(low.wall):
            break
        at = _where_equal(walls, low, high, most_mm)
        radius = _radii_at(walls, low.wall, at, low.touched, most_mm)
        known = np.where(low.touched == NOTHING, high.touched, low.touched)
        radius = np.fmin(radius, _radii_at(walls, low.wall, at, high.touched, most_mm))
        middle = largest_discs(walls, low.wall, at, radius, known)
        free = middle.radius_mm >= most_mm[walls.region[low.wall % len(walls.region)]]
        middle = middle._replace(touched=np.where(free, NOTHING, middle.touched))
        new = free | (middle.radius_mm < radius - _ROUNDING_MM)
        new &= (middle.touched != low.touched) & (middle.touched != high.touched)
        vertices.append(_touching(walls, middle, low.touched, high.touched, ~new))
        split.append(middle.rows(new))
        low, high, middle = low.rows(new), high.rows(new), middle.rows(new)
        low, high = joined([low, middle]), joined([middle, high])
    samples = joined(split)
    fans = samples.rows((samples.wall >= len(walls.region)) & (samples.touched != NOTHING))
    pairs = np.column_stack([fans.wall - len(walls.region), fans.touched])
    across, _ = np.unique(pairs, axis=0, return_index=True)  # without the index it loads masked arrays
    return Medial(_all_of(vertices), across[:, 0], across[:, 1])


def _all_of(parts: list[Touching]) -> Touching:
    return Touching(
        np.concatenate([np.zeros(0, np.int64), *(part.region for part in parts)]),
        np.concatenate([np.zeros((0, 2)), *(part.centre_mm for part in parts)]),
        np.concatenate([np.zeros(0), *(part.radius_mm for part in parts)]),
        np.concatenate([np.zeros((0, 3, 2)), *(part.touch_mm for part in parts)]),
    )


def _first_samples(walls: Walls, most_mm: FloatArray) -> Samples:
    """Samples at the ends of sides, along sides, and on fans; at a convex vertex the disc is a point."""
    sides = np.arange(len(walls.region))
    reflex = walls.turn_rad < 0
    most = most_mm[walls.region]
    convex_end = ~reflex[walls.after]
    points = Samples(
        np.concatenate([sides[~reflex], sides[convex_end]]),
        np.concatenate([np.zeros(np.count_nonzero(~reflex)), walls.length_mm[convex_end]]),
        np.concatenate([walls.before[~reflex], walls.after[convex_end]]),
        np.zeros(np.count_nonzero(~reflex) + np.count_nonzero(convex_end)),
    )
    stretches = np.clip(np.ceil(walls.length_mm / (_STRETCH * most)), 1, _STRETCHES).astype(np.int64)
    steps = np.ceil(-walls.turn_rad / _FAN_STEP_RAD).astype(np.int64)
    wall = [np.repeat(sides, stretches), sides[reflex], sides[reflex[walls.after]]]
    at = [(within_runs(stretches) + 0.5) * np.repeat(walls.length_mm / stretches, stretches)]
    at += [np.zeros(len(wall[1])), walls.length_mm[wall[2]]]
    inner = np.where(reflex, steps - 1, 0)
    wall.append(np.repeat(sides + len(sides), inner))
    at.append((within_runs(inner) + 1.0) * np.repeat(-walls.turn_rad / np.maximum(steps, 1), inner))
    every = np.concatenate(wall)
    asked = largest_discs(walls, every, np.concatenate(at), most[every % len(sides)])
    begin, end = np.cumsum([len(one) for one in wall])[:2]
    leaving, arriving = asked.rows(np.arange(begin, end)), asked.rows(np.arange(end, end + len(wall[2])))
    fans = [  # the last normal of a side is the first one of the fan at its end
        leaving._replace(wall=leaving.wall + len(sides), at=-walls.turn_rad[leaving.wall]),
        arriving._replace(wall=walls.after[arriving.wall] + len(sides), at=np.zeros(len(arriving.at))),
    ]
    return joined([points, asked, *fans])


def _both_ways(walls: Walls, samples: Samples) -> Samples:
    """Samples, and the same discs as seen from the walls they touch."""
    seen = samples.rows((samples.touched != NOTHING) & (samples.radius_mm > 0))
    sides = len(walls.region)
    point, normal = places_on(walls, seen.wall, seen.at)
    centre = point + seen.radius_mm[:, None] * normal
    side = seen.touched
    foot = dot(nearest_on(walls, side, centre) - walls.begin_mm[side], walls.along[side])
    vertex = np.where(foot <= _ROUNDING_MM, side, walls.after[side])
    inside = (foot > _ROUNDING_MM) & (foot < walls.length_mm[side] - _ROUNDING_MM)
    away = centre - walls.begin_mm[vertex]
    first = left_of(walls.along[walls.before[vertex]])
    angle = np.clip(-np.arctan2(cross(first, away), dot(first, away)), 0.0, np.abs(walls.turn_rad[vertex]))
    mirrored = Samples(
        np.where(inside, side, vertex + sides),
        np.where(inside, foot, angle),
        np.where(seen.wall >= sides, seen.wall - sides, seen.wall),
        seen.radius_mm,
    )
    mirrored = mirrored.rows(inside | (walls.turn_rad[vertex] < 0))
    return joined([samples, mirrored])


def _radii_at(
    walls: Walls, wall: IntArray, at: FloatArray, touched: IntArray, most_mm: FloatArray
) -> FloatArray:
    """Radii of the discs that touch walls at places, and sides; at most the largest of interest."""
    point, normal = places_on(walls, wall, at)
    most = most_mm[walls.region[wall % len(walls.region)]]
    radius = np.fmin(radii(walls, point, normal, touched), most)
    return np.where(touched == NOTHING, most, radius)


def _where_equal(walls: Walls, low: Samples, high: Samples, most_mm: FloatArray) -> FloatArray:
    """
    Where between two samples of a wall the disc that touches both their sides has its place.

    False position, the end that stays being halved in weight (the Illinois rule, from memory).
    """
    begin, end = low.at.copy(), high.at.copy()
    place = (begin + end) / 2
    at_begin, at_end = (
        _radii_at(walls, low.wall, at, low.touched, most_mm)
        - _radii_at(walls, low.wall, at, high.touched, most_mm)
        for at in (begin, end)
    )
    kept = np.zeros(len(place), np.int64)
    open_ = np.arange(len(place))
    for turn in range(_TURNS):
        if not len(open_):
            break
        a, b, fa, fb = begin[open_], end[open_], at_begin[open_], at_end[open_]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = fa / (fa - fb)
        halved = ~((share > 0) & (share < 1)) | (turn > _FALSE_POSITIONS)
        at = a + np.where(halved, 0.5, share) * (b - a)
        part = low.rows(open_)
        f = _radii_at(walls, part.wall, at, part.touched, most_mm) - _radii_at(
            walls, part.wall, at, high.touched[open_], most_mm
        )
        left = f <= 0
        begin[open_], end[open_] = np.where(left, at, a), np.where(left, b, at)
        at_begin[open_] = np.where(left, f, np.where(kept[open_] == 1, fa / 2, fa))
        at_end[open_] = np.where(left, np.where(kept[open_] == -1, fb / 2, fb), f)
        kept[open_] = np.where(left, -1, 1)
        place[open_] = at
        open_ = open_[(np.abs(f) > _ROUNDING_MM / 10) & (end[open_] - begin[open_] > 1e-12)]
    return place


def _touching(walls: Walls, middle: Samples, one: IntArray, other: IntArray, kept: BoolArray) -> Touching:
    """Discs at places of walls that touch two more sides."""
    kept = kept & (one != NOTHING) & (other != NOTHING)
    middle, one, other = middle.rows(kept), one[kept], other[kept]
    point, normal = places_on(walls, middle.wall, middle.at)
    centre = point + middle.radius_mm[:, None] * normal
    touch = np.stack([point, nearest_on(walls, one, centre), nearest_on(walls, other, centre)], axis=1)
    away = np.hypot(*np.moveaxis(touch - centre[:, None], 2, 0)) - middle.radius_mm[:, None]
    met = away.max(axis=1) <= _TOUCHES_MM
    return Touching(walls.region[one[met]], centre[met], middle.radius_mm[met], touch[met])
