"""Like things that lie near one another: the nearest along an axis of each, and the nearest of round ones."""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.lanes import Lanes
from pastecheck.ragged import rows_of_runs, within_runs

SmallIntArray = NDArray[np.int16]

SLACK_MM: Final = 1e-6
"""Places are whole nanometres: a length at a limit counts as within it."""
LIKE_MM: Final = 0.02
"""Sides that differ by no more are alike."""
LIKE_RAD: Final = np.radians(2)
"""So are directions."""
BESIDE_MM: Final = 0.06
"""Centres of a straight row lie no farther beside each other: each may be 0.03 off its ladder."""
NEAREST: Final = 8
"""Round things look at so many neighbours."""

BETWEEN: Final = 0.82
"""What lies between two things is nearer to each by this factor than they are to each other."""

_BIN_RAD: Final = np.radians(2)
_BINS: Final = 90
_QUARTER_BINS: Final = 45
_ASKEW_MM: Final = 0.01
"""What lies so little ahead of a thing in a lane may be behind it along its own axis."""
_NEAR_MM: Final = 0.5
_PAIRS_AT_ONCE: Final = 300_000
_ROWS_AT_ONCE: Final = 200_000


class Things(NamedTuple):
    """Outlines with a place and two sides. Shape (n,) each."""

    x_mm: FloatArray
    y_mm: FloatArray
    width_mm: FloatArray
    length_mm: FloatArray
    direction_rad: FloatArray
    """Of the long side, in [0, pi]; not read where a thing is round."""
    is_round: BoolArray
    are_square: BoolArray
    """Whether the sides are so nearly equal that either may be the long one."""

    def rows(self, rows: IntArray) -> "Things":
        """Some of the things."""
        return Things(
            self.x_mm[rows],
            self.y_mm[rows],
            self.width_mm[rows],
            self.length_mm[rows],
            self.direction_rad[rows],
            self.is_round[rows],
            self.are_square[rows],
        )


def nearest_along(things: Things, axis_rad: FloatArray, reach_mm: FloatArray, wanted: BoolArray) -> IntArray:
    """
    The nearest like thing ahead and behind along an axis of each that is not round; -1 where there is none.

    Like: both sides within 0.02 mm, directions within 2 degrees; of two squares the axes. Along: no centre
    lies more than 0.06 mm beside the axis of the other.

    Args:
        things: Round things find nothing and are not found.
        axis_rad: A side of each thing. Shape (n,).
        reach_mm: Largest distance of interest; like things should have a like one. Shape (n,).
        wanted: Which things are to find others. Shape (n,).

    Returns:
        Shape (n, 2).

    Cost:
        Things of one direction, to 2 degrees, are sorted into strips once; at most 90 directions.
    """
    count = len(axis_rad)
    met = _Met(np.stack([np.cos(axis_rad), np.sin(axis_rad)]), reach_mm, np.full(2 * count, np.inf), [])
    finding = np.flatnonzero(wanted & ~things.is_round)
    if not len(finding):
        return np.full((count, 2), -1, np.int64)
    turned = (np.mod(axis_rad, np.pi) / _BIN_RAD).astype(np.int16) % np.int16(_BINS)
    farther = np.ceil(np.log2(reach_mm[finding] / reach_mm[finding].min() + 1e-9)).astype(np.int64)
    group = farther * _BINS + turned[finding]
    for one in np.flatnonzero(np.bincount(group)).tolist():
        rows = finding[group == one]
        others = np.flatnonzero(_may_be_parallel(things, turned, one % _BINS))
        angle = (one % _BINS + 0.5) * _BIN_RAD
        reach = float(reach_mm[rows].max()) + LIKE_MM / 0.5
        strip = BESIDE_MM + reach * np.sin(_BIN_RAD / 2) + SLACK_MM
        x_mm, y_mm = things.x_mm[others], things.y_mm[others]
        along = x_mm * np.cos(angle) + y_mm * np.sin(angle)
        across = y_mm * np.cos(angle) - x_mm * np.sin(angle)
        lanes = Lanes(along, across, reach, strip)
        for looks in lanes.looks(np.searchsorted(others, rows)):
            looking = looks
            while len(looking.at):
                i = others[lanes.row[looking.at]]
                met.add(things, i, others[lanes.row[looking.near]])
                # a little more, for which way is ahead is told by the axis of each
                looking = lanes.next(looking, met.least_mm[2 * i + (looking.way < 0)] + _ASKEW_MM)
    return met.nearest()


def _may_be_parallel(things: Things, turned: SmallIntArray, one: int) -> BoolArray:
    """Which things may be like one whose axis is turned by so many steps, as far as directions tell."""
    apart = np.arange(_BINS)
    apart = np.minimum(np.abs(apart - one), _BINS - np.abs(apart - one))
    is_parallel, is_crosswise = apart <= 1, apart >= _QUARTER_BINS - 1
    may: BoolArray = is_parallel[turned] | (things.are_square & is_crosswise[turned])
    return may & ~things.is_round


class _Met(NamedTuple):
    """Like things that lie along axes: slot 2 i is ahead of thing i, 2 i + 1 behind it."""

    axis: FloatArray
    """Shape (2, n)."""
    reach_mm: FloatArray
    least_mm: FloatArray
    """Distance of the nearest one met. Shape (2 n,)."""
    found: list[tuple[IntArray, IntArray, FloatArray]]
    """Slots, the things met, and their distances: the nearest of each slot, and some more."""

    def add(self, things: Things, i: IntArray, j: IntArray) -> None:
        """Look from some things at others."""
        kept = _are_like(things, i, j)
        i, j = i[kept], j[kept]
        dx, dy = things.x_mm[j] - things.x_mm[i], things.y_mm[j] - things.y_mm[i]
        (ax, ay), (bx, by) = (self.axis.take(rows, axis=1) for rows in (i, j))
        other_beside = np.abs(dy * bx - dx * by)
        both = things.are_square[i] & things.are_square[j]
        other_beside[both] = np.minimum(other_beside, np.abs(dx * bx + dy * by))[both]
        beside = np.maximum(np.abs(dy * ax - dx * ay), other_beside)
        distance = np.hypot(dx, dy)
        reach_mm = np.maximum(self.reach_mm[i], self.reach_mm[j])
        kept = (beside <= BESIDE_MM + SLACK_MM) & (distance <= reach_mm + SLACK_MM)
        slot, j, distance = (2 * i + (dx * ax + dy * ay < 0))[kept], j[kept], distance[kept]
        np.minimum.at(self.least_mm, slot, distance)
        self.found.append((slot, j, distance))

    def nearest(self) -> IntArray:
        """The nearest thing of each slot, of equal ones the lowest; -1 for none. Shape (n, 2)."""
        nearest = np.full(len(self.least_mm), len(self.least_mm))
        for slot, thing, distance in self.found:
            least = distance == self.least_mm[slot]
            np.minimum.at(nearest, slot[least], thing[least])
        return np.where(np.isinf(self.least_mm), -1, nearest).reshape(-1, 2)


def _are_like(things: Things, i: IntArray, j: IntArray) -> BoolArray:
    """Whether two things that are not round are alike. Shape (k,)."""
    like: BoolArray = (i != j) & (np.abs(things.width_mm[i] - things.width_mm[j]) <= LIKE_MM + SLACK_MM)
    like &= np.abs(things.length_mm[i] - things.length_mm[j]) <= LIKE_MM + SLACK_MM
    turn = np.abs(things.direction_rad[i] - things.direction_rad[j])
    same = np.minimum(turn, np.pi - turn) <= LIKE_RAD + SLACK_MM
    like &= same | (things.are_square[i] & things.are_square[j])
    return like


def nearest_round(things: Things, reach_mm: float) -> IntArray:
    """
    The nearest like round things of each round one, up to eight; -1 where there are fewer.

    Those as far as the ninth are left out, so that it is no matter of order which of them are seen; and those
    behind a nearer one, whose centre lies within 0.06 mm of the line to them. So are those that two lie
    between, one on either side of that line, both well nearer to both: no row runs askew through a grid.

    Args:
        things: Rows that are not round find nothing and are not found.
        reach_mm: Largest distance of interest.

    Returns:
        Shape (n, 8), the nearest first.
    """
    nearest = np.full((len(things.x_mm), NEAREST), -1, np.int64)
    round_ = np.flatnonzero(things.is_round)
    rows = round_
    for reach in (min(_NEAR_MM, reach_mm), reach_mm):
        crowded = [np.zeros(0, np.int64)]
        for i, j in pairs_in_strips(things.x_mm, things.y_mm, (rows, round_), reach, reach):
            crowded.append(_keep_eight(things, i, j, reach, nearest))
        rows = np.setdiff1d(rows, np.concatenate(crowded), assume_unique=True)
    return _seen(things, nearest)


def _keep_eight(things: Things, i: IntArray, j: IntArray, reach_mm: float, nearest: IntArray) -> IntArray:
    """Write the nearest into `nearest`; rows that have more than eight within reach are returned."""
    distance = np.hypot(things.x_mm[j] - things.x_mm[i], things.y_mm[j] - things.y_mm[i])
    kept = (i != j) & (distance <= reach_mm + SLACK_MM)
    for side in (things.width_mm, things.length_mm):
        kept &= np.abs(side[i] - side[j]) <= LIKE_MM + SLACK_MM
    i, j, distance = i[kept], j[kept], distance[kept]
    order = np.lexsort((distance, i))
    i, j, distance = i[order], j[order], distance[order]
    begin = np.flatnonzero(np.diff(i, prepend=-1))
    count = np.diff(np.append(begin, len(i)))
    place = within_runs(count)
    ninth = np.full(len(begin), np.inf)
    many = count > NEAREST
    ninth[many] = distance[begin[many] + NEAREST]
    seen = (place < NEAREST) & (distance < np.repeat(ninth, count) - SLACK_MM)
    nearest[i[begin]] = -1
    nearest[i[seen], place[seen]] = j[seen]
    crowded: IntArray = i[begin[many]]
    return crowded


def _seen(things: Things, nearest: IntArray) -> IntArray:
    """Those of the nearest that are not behind a nearer one, and not beyond two, one on either side."""
    dx, dy = (
        np.where(nearest < 0, 0.0, at[nearest] - at[:, None]).T.copy() for at in (things.x_mm, things.y_mm)
    )
    distance = np.hypot(dx, dy)
    hidden = np.zeros(nearest.shape, bool)
    for far in range(1, NEAREST):
        rows = np.flatnonzero(nearest[:, far] >= 0)
        x, y, away = dx[far, rows], dy[far, rows], distance[far, rows]
        is_hidden, left, right = (np.zeros(len(rows), bool) for _ in range(3))
        for close in range(far):
            its_x, its_y = dx[close, rows], dy[close, rows]
            side = its_x * y - its_y * x
            beside = np.abs(side) <= (BESIDE_MM + SLACK_MM) * away
            is_hidden |= beside & (its_x * x + its_y * y > 0)
            between = distance[close, rows] < BETWEEN * away
            between &= np.hypot(x - its_x, y - its_y) < BETWEEN * away
            left |= between & (side < 0)
            right |= between & (side > 0)
        hidden[rows, far] = is_hidden | (left & right)
    return np.where(hidden, -1, nearest)


def pairs_in_strips(
    along: FloatArray,
    across: FloatArray,
    rows: tuple[IntArray, IntArray],
    reach: float,
    strip: float,
) -> Iterator[tuple[IntArray, IntArray]]:
    """
    Pairs of rows that may lie within `reach` along and `strip` across of each other, and some more.

    All pairs of one row come together, so that the nearest may be taken of each batch.
    """
    ones, others = rows
    if not len(ones):
        return
    lane = np.floor(across[others] / strip)
    low, lane_low = float(along[others].min()), float(lane.min())
    span = float(np.ptp(along[others])) + 3 * reach
    key = (lane - lane_low) * span + (along[others] - low)
    order = np.argsort(key)
    key, others = key[order], others[order]
    loose = reach + 4 * float(np.spacing(key[-1] + span))
    middle = (np.floor(across[ones] / strip) - lane_low) * span + (along[ones] - low)
    # in order of what is looked up, so that a search begins where the last one ended
    order = np.argsort(middle)
    ones, middle = ones[order], middle[order]
    for some in range(0, len(ones), _ROWS_AT_ONCE):
        lanes = [middle[some : some + _ROWS_AT_ONCE] + step * span for step in (-1, 0, 1)]
        begin = np.column_stack([np.searchsorted(key, at - loose) for at in lanes])
        count = np.column_stack([np.searchsorted(key, at + loose, side="right") for at in lanes]) - begin
        pairs = count.sum(axis=1)
        batch = np.cumsum(pairs) // _PAIRS_AT_ONCE
        for part in np.split(np.arange(len(pairs)), np.flatnonzero(np.diff(batch)) + 1):
            i = np.repeat(ones[some + part], pairs[part])
            yield i, others[rows_of_runs(begin[part].ravel(), count[part].ravel())]
