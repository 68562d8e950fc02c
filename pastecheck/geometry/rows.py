"""
Rows: three or more like openings at an even pitch along a line, as leads of a part have.

Like: both sides within 0.02 mm and the same direction within 2 degrees, or both square with the same axes,
or both round. Even: all centres within 0.03 mm of an even ladder fitted by least squares, for old files
round each place to a mil. A row runs across the long sides; either way where the sides differ by less than
5 %; anyhow where openings are round, but not askew through a grid of them, between two that are nearer. Its
pitch is 0.25 to 1.4 mm. No row steps over one of its own kind: so a missing lead ends it, and the pitch is
that of neighbours.

The definition is ours, `common practice, no source`.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.chains import chains_of, ladders_of
from pastecheck.geometry.neighbours import SLACK_MM, Things, nearest_along, nearest_round
from pastecheck.ragged import offsets, rows_of_runs, within_runs
from pastecheck.units import NM_PER_MM

SmallIntArray = NDArray[np.int32]

LEAST_PITCH_MM: Final = 0.25
LARGEST_PITCH_MM: Final = 1.4
OFF_LADDER_MM: Final = 0.03
FILLED: Final = 0.70
"""Openings that fill more than this share of their pitch in two directions are panes of one land."""

SQUARE: Final = 1.05
"""What is less than so many times as long as wide may lie in a row either way."""

_REACH_MM: Final = LARGEST_PITCH_MM + 2 * OFF_LADDER_MM
_NEVER_MM: Final = LEAST_PITCH_MM - 2 * OFF_LADDER_MM
_SECOND_DIFFERENCE_MM: Final = 3 * OFF_LADDER_MM
"""Three points are a third of it off their ladder: s/6, s/3 and s/6."""
_CROSSWISE_RAD: Final = np.radians(45) - 1e-9
"""Less what float rounding takes: what lies at 45 degrees does so wherever on the layer it is."""
_FORWARD_RAD: Final = np.pi / 8
_SAME_PITCH_MM: Final = 1e-6
_LANE_MM: Final = 0.1
_PLACE_MM: Final = 0.01


@dataclass(frozen=True, eq=False, slots=True)
class Rows:
    """Rows of n openings; r rows. Openings in none have row -1, order -1 and NaN."""

    row: IntArray
    """The row of the smallest pitch that the opening is in. Shape (n,)."""
    order: IntArray
    """Place along that row, from 0, to the right, upward where it is steep. Shape (n,)."""
    pitch_mm: FloatArray
    """Pitch of that row. Shape (n,)."""
    extent_mm: FloatArray
    """Extent of the opening along that row: its width, or its length where that lies along it. Shape (n,)."""
    other_row: IntArray
    """The row of the smallest pitch that crosses the first at 45 degrees or more; -1 for none. Shape (n,)."""
    beside_mm: FloatArray
    """Distance to the nearest like opening that stands beside the row, 45 degrees or more off. Shape (n,)."""
    beside_extent_mm: FloatArray
    """Extent of the opening that way. Shape (n,)."""

    row_pitch_mm: FloatArray
    """Shape (r,)."""
    row_direction_rad: FloatArray
    """In (-3/8 pi, 5/8 pi]: rows level or upright, but for rounding, are told one way. Shape (r,)."""
    row_count: IntArray
    """Openings on the ladder, also those that belong to a row of smaller pitch. Shape (r,)."""
    member: IntArray
    """Openings of all rows, each in its order, one row behind the other. Shape (sum of row_count,)."""

    def __len__(self) -> int:
        """Number of rows."""
        return len(self.row_count)

    @property
    def fraction(self) -> FloatArray:
        """Share of the pitch that the opening fills. Shape (n,)."""
        return self.extent_mm / self.pitch_mm

    @property
    def gap_mm(self) -> FloatArray:
        """What is left of the pitch. Shape (n,)."""
        return self.pitch_mm - self.extent_mm

    @property
    def are_in_grids(self) -> BoolArray:
        """Whether an opening is in a row of a grid, as balls are: at least half of it crosses other rows."""
        return self._in_rows_of_most(self.other_row >= 0)

    def are_panes(self, filled: float = FILLED) -> BoolArray:
        """
        Whether an opening is in a row of panes: at least half of it fills its pitch along and beside the row.

        One like opening beside is enough, since two rows of three panes are a common pattern. Shape (n,).
        """
        with np.errstate(invalid="ignore"):
            return self._in_rows_of_most(
                (self.fraction > filled) & (self.beside_extent_mm / self.beside_mm > filled)
            )

    def _in_rows_of_most(self, are: BoolArray) -> BoolArray:
        """Whether at least half of an opening's row are so, or of the row that crosses it."""
        # where both have one pitch, either may be read as the first
        row = np.repeat(np.arange(len(self)), self.row_count)
        most = 2 * np.bincount(row, weights=are[self.member], minlength=len(self)) >= self.row_count
        most = np.append(most, False)  # row -1
        found: BoolArray = most[self.row] | most[self.other_row]
        return found


class _Links(NamedTuple):
    """For each slot of each opening, a row of slots each: the neighbour, and its slot that looks back."""

    near: SmallIntArray
    """Shape (slots, n)."""
    back: SmallIntArray


class _Ladders(NamedTuple):
    """Rows found: members, one row behind the other, and the step of each."""

    member: IntArray
    offset: IntArray
    step_mm: FloatArray


def rows_of(
    place_nm: IntArray,
    width_mm: FloatArray,
    length_mm: FloatArray,
    direction_rad: FloatArray,
    is_round: BoolArray,
) -> Rows:
    """
    Rows of openings.

    Args:
        place_nm: Centres, of one kind for all: centroids, or middles of boxes. Shape (n, 2).
        width_mm: Short side of the turned bounding rectangle. Shape (n,).
        length_mm: Long side. Shape (n,).
        direction_rad: Direction of the long side; of square ones, of either. Shape (n,).
        is_round: Whether the outline is so nearly round that its direction means nothing. Shape (n,).

    Returns:
        Pitches within 0.06 / (count - 1) mm of those meant where places are rounded by 0.03 mm at most, and
        exact where none is. Between steps of unequal pitch an opening is read in the row of the smaller.

    Cost:
        Neighbours are found in sorted strips, chains put in order by doubling: n log n.
    """
    place = (place_nm - place_nm.min(axis=0, initial=np.iinfo(np.int64).max)) / NM_PER_MM
    square = length_mm < SQUARE * width_mm
    direction = np.where(is_round, 0.0, np.mod(direction_rad, np.pi))
    x_mm, y_mm = place.T.copy()
    things = Things(x_mm, y_mm, width_mm, length_mm, direction, is_round, square)
    # round things and others are never alike
    kinds = [_of_kind(things, rows) for rows in (np.flatnonzero(~is_round), np.flatnonzero(is_round))]
    ladders = _in_order(_joined([kind.ladders for kind in kinds if len(kind.rows)]))
    return _told(things, kinds, ladders)


class _Kind(NamedTuple):
    """Things that may be alike, and what was found of them."""

    rows: IntArray
    links: _Links
    ladders: _Ladders
    """Members are rows of all things."""


def _of_kind(things: Things, rows: IntArray) -> _Kind:
    """Neighbours of all round things, or of all that are not, and their ladders."""
    some = things.rows(rows)
    near = nearest_round(some, _REACH_MM) if some.is_round.all() else _nearest_lying(some)
    links = _mutual(near)
    ladders = _of_pitches(_found(np.column_stack([some.x_mm, some.y_mm]), some, links))
    return _Kind(rows, links, ladders._replace(member=rows[ladders.member]))


def _joined(ladders: list[_Ladders]) -> _Ladders:
    """Ladders of all kinds."""
    count = np.concatenate([np.zeros(0, np.int64), *(np.diff(each.offset) for each in ladders)])
    member = np.concatenate([np.zeros(0, np.int64), *(each.member for each in ladders)])
    step_mm = np.concatenate([np.zeros((0, 2)), *(each.step_mm for each in ladders)])
    return _Ladders(member, offsets(count), step_mm)


def _nearest_lying(things: Things) -> IntArray:
    """Nearest neighbours ahead and behind, across the long side and then along it. Shape (n, 4)."""
    across = things.direction_rad + np.pi / 2
    longest = np.maximum(_REACH_MM, things.length_mm / FILLED)
    # either side of a square may be called the long one, so both look as far
    reach = np.where(things.are_square, longest, _REACH_MM)
    every = np.ones(len(across), bool)
    near = np.full((len(across), 4), -1)
    near[:, :2] = nearest_along(things, across, reach, every)
    found = things.are_square | (near >= 0).any(axis=1)
    near[:, 2:] = nearest_along(things, things.direction_rad, longest, found)
    return near


def _mutual(near: IntArray) -> _Links:
    """Neighbours that are each other's, of each thing's nearest. near: shape (n, slots)."""
    slots = near.T.astype(np.int32)
    back = np.full_like(slots, -1)
    for slot in range(len(slots)):
        rows = np.flatnonzero(slots[slot] >= 0).astype(np.int32)
        for its in range(len(slots)):
            back[slot, rows[slots[its, slots[slot, rows]] == rows]] = its
    return _Links(np.where(back < 0, np.int32(-1), slots), back)


def _found(place: FloatArray, things: Things, links: _Links) -> _Ladders:
    """All ladders of three or more."""
    opposite = _opposite(things, links)
    n = len(things.x_mm)
    # a link is a neighbour in a slot; the next one leaves that neighbour by the slot opposite the one back
    link = _along_lines(things, links, _in_chains(links, opposite))
    number = np.full(links.near.size, -1, np.int32)
    number[link] = np.arange(len(link))
    from_, to, back = link % n, links.near.ravel()[link], links.back.ravel()[link]
    onward = opposite[back, to]
    following = np.where(onward >= 0, number[onward * np.int64(n) + to], -1)
    twin = number[back * np.int64(n) + to]
    chains = chains_of(following.astype(np.int64), twin.astype(np.int64))
    count = np.diff(chains.offset)
    offset = offsets(count + 1)
    point = np.zeros(offset[-1], np.int64)
    point[rows_of_runs(offset[:-1], count)] = from_[chains.link]
    point[offset[1:] - 1] = to[chains.link[chains.offset[1:] - 1]]
    ladders = ladders_of(place[point], offset, OFF_LADDER_MM + SLACK_MM)
    sizes = ladders.end - ladders.begin + 1
    return _Ladders(point[rows_of_runs(ladders.begin, sizes)], offsets(sizes), ladders.step_mm)


def _in_chains(links: _Links, opposite: SmallIntArray) -> IntArray:
    """Links that follow another or are followed by one."""
    link = np.flatnonzero(links.near.ravel() >= 0)
    follows = opposite.ravel()[link] >= 0
    is_followed = opposite[links.back.ravel()[link], links.near.ravel()[link]] >= 0
    return link[follows | is_followed]


def _along_lines(things: Things, links: _Links, link: IntArray) -> IntArray:
    """Links in an order in which most follow one another as in their chains: by direction, lane and place."""
    from_, to = link % len(things.x_mm), links.near.ravel()[link]
    way = things.x_mm[to] - things.x_mm[from_], things.y_mm[to] - things.y_mm[from_]
    turn = np.rint(np.degrees(np.arctan2(way[1], way[0])))
    t = np.radians(np.arange(-180, 181))
    cos, sin = np.cos(t)[turn.astype(np.int64) + 180], np.sin(t)[turn.astype(np.int64) + 180]
    x, y = things.x_mm[from_], things.y_mm[from_]
    lane, place = np.rint((y * cos - x * sin) / _LANE_MM), (x * cos + y * sin) / _PLACE_MM
    lanes, places = (float(np.ptp(each)) + 2 if len(each) else 2.0 for each in (lane, place))
    # far out lanes share a key, and links come in some other order: it only takes longer
    key = (turn * lanes + lane) * places + place
    order: IntArray = link[np.argsort(key)]
    return order


def _opposite(things: Things, links: _Links) -> SmallIntArray:
    """For each slot, the slot of the neighbour that makes an even step on the other side; -1 for none."""
    opposite = np.full(links.near.shape, -1, np.int32)
    along_too = things.is_round | things.are_square
    for slots, rows in ((2, np.flatnonzero(~along_too)), (len(opposite), np.flatnonzero(along_too))):
        near = links.near[:slots].take(rows, axis=1)
        several = np.flatnonzero(np.count_nonzero(near >= 0, axis=0) >= 2)
        opposite[:slots, rows[several]] = _evenly_opposite(things, near.take(several, axis=1), rows[several])
    return opposite


def _evenly_opposite(things: Things, near: SmallIntArray, rows: IntArray) -> SmallIntArray:
    """As `_opposite`, of some things and some slots. near: shape (slots, k)."""
    slots = len(near)
    dx, dy = things.x_mm[near] - things.x_mm[rows], things.y_mm[near] - things.y_mm[rows]
    length = np.hypot(dx, dy)
    usable = (near >= 0) & (length >= _NEVER_MM - SLACK_MM) & (length <= _REACH_MM + SLACK_MM)
    least = np.full(near.shape, _SECOND_DIFFERENCE_MM + SLACK_MM)
    opposite = np.full(near.shape, -1, np.int32)
    for one in range(slots):
        for other in range(one + 1, slots):
            even = np.abs(length[one] - length[other]) <= _SECOND_DIFFERENCE_MM + SLACK_MM
            some = np.flatnonzero(even & usable[one] & usable[other])
            uneven = np.hypot(dx[one, some] + dx[other, some], dy[one, some] + dy[other, some])
            for mine, its in ((one, other), (other, one)):
                better = uneven <= least[mine, some]
                least[mine, some[better]] = uneven[better]
                opposite[mine, some[better]] = its
    there = np.take_along_axis(opposite, np.maximum(opposite, 0), axis=0)
    return np.where((opposite >= 0) & (there == np.arange(slots)[:, None]), opposite, np.int32(-1))


def _of_pitches(ladders: _Ladders) -> _Ladders:
    """Those whose pitch is that of a row."""
    pitch = np.hypot(*ladders.step_mm.T)
    kept = np.flatnonzero((pitch >= LEAST_PITCH_MM - SLACK_MM) & (pitch <= LARGEST_PITCH_MM + SLACK_MM))
    count = np.diff(ladders.offset)[kept]
    member = ladders.member[rows_of_runs(ladders.offset[:-1][kept], count)]
    return _Ladders(member, offsets(count), ladders.step_mm[kept])


def _in_order(ladders: _Ladders) -> _Ladders:
    """Each ladder to the right, or upward, and the ladders by their lowest opening."""
    count, begin = np.diff(ladders.offset), ladders.offset[:-1]
    dx, dy = ladders.step_mm.T
    turned = dx * np.cos(_FORWARD_RAD) + dy * np.sin(_FORWARD_RAD) < 0
    step = np.where(turned[:, None], -ladders.step_mm, ladders.step_mm)
    if not len(count):
        return ladders
    lowest = np.minimum.reduceat(ladders.member, begin)
    order = np.lexsort((count, np.hypot(dx, dy), lowest))
    count, row = count[order], np.repeat(order, count[order])
    place = within_runs(count)
    place = np.where(turned[row], np.diff(ladders.offset)[row] - 1 - place, place)
    return _Ladders(ladders.member[begin[row] + place], offsets(count), step[order])


def _told(things: Things, kinds: list[_Kind], ladders: _Ladders) -> Rows:
    """Rows for each opening: the one of smallest pitch, and what crosses it."""
    n, count = len(things.x_mm), np.diff(ladders.offset)
    pitch = np.hypot(*ladders.step_mm.T)
    direction = np.arctan2(ladders.step_mm[:, 1], ladders.step_mm[:, 0])
    of_member = np.repeat(np.arange(len(count)), count)
    steps = np.rint(pitch / _SAME_PITCH_MM)
    keys = (np.arange(len(count)), np.rint(np.abs(direction) / _SAME_PITCH_MM), -count, steps)
    best = _first_of_each(ladders.member, tuple(key[of_member] for key in keys))
    row, order = (np.full(n, -1) for _ in range(2))
    row[ladders.member[best]] = of_member[best]
    order[ladders.member[best]] = within_runs(count)[best]
    own = row[ladders.member]
    crossing = np.flatnonzero(_angle(direction[of_member] - direction[own]) >= _CROSSWISE_RAD)
    second = crossing[
        _first_of_each(ladders.member[crossing], tuple(key[of_member[crossing]] for key in keys))
    ]
    other_row = np.full(n, -1)
    other_row[ladders.member[second]] = of_member[second]
    inside = np.where(row >= 0, row, 0)
    along = np.where(row >= 0, direction[inside] if len(count) else 0.0, np.nan)
    beside, beside_direction = np.full(n, np.nan), np.full(n, np.nan)
    for kind in kinds:
        beside[kind.rows], beside_direction[kind.rows] = _beside(things, kind, along)
    return Rows(
        row,
        order,
        np.where(row >= 0, pitch[inside] if len(count) else np.nan, np.nan),
        _extent(things, along),
        other_row,
        beside,
        _extent(things, beside_direction),
        pitch,
        direction,
        count,
        ladders.member,
    )


def _first_of_each(thing: IntArray, keys: tuple[FloatArray | IntArray, ...]) -> IntArray:
    """The first entry of each thing, in order of the keys, the last key before all others."""
    order = np.lexsort((*keys, thing))
    first: IntArray = order[np.diff(thing[order], prepend=-1) != 0]
    return first


def _angle(turn_rad: FloatArray) -> FloatArray:
    """Angle between lines, 0 to pi / 2."""
    turn = np.mod(turn_rad, np.pi)
    return np.minimum(turn, np.pi - turn)


def _beside(things: Things, kind: _Kind, along_rad: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distance and direction of the nearest neighbour that is not along a row; NaN for none."""
    distance_mm, direction_rad = np.full((2, len(kind.rows)), np.nan)
    along_rad = along_rad[kind.rows]
    for near in kind.links.near:
        rows = np.flatnonzero((near >= 0) & ~np.isnan(along_rad))
        one, other = kind.rows[rows], kind.rows[near[rows]]
        dx, dy = things.x_mm[other] - things.x_mm[one], things.y_mm[other] - things.y_mm[one]
        direction, distance = np.arctan2(dy, dx), np.hypot(dx, dy)
        off = _angle(direction - along_rad[rows]) >= _CROSSWISE_RAD
        off &= ~(distance >= distance_mm[rows])
        distance_mm[rows[off]], direction_rad[rows[off]] = distance[off], direction[off]
    return distance_mm, direction_rad


def _extent(things: Things, along_rad: FloatArray) -> FloatArray:
    """Extent of each opening along a direction that is one of its sides; NaN where there is no direction."""
    with np.errstate(invalid="ignore"):
        lengthwise = ~things.is_round & (_angle(along_rad - things.direction_rad) < _CROSSWISE_RAD)
    extent = np.where(lengthwise, things.length_mm, things.width_mm)
    return np.where(np.isnan(along_rad), np.nan, extent)
