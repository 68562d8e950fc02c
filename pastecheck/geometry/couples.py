"""Things of which each is the nearest of the other, and no third is about as near."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.lanes import Lanes
from pastecheck.geometry.neighbours import BESIDE_MM, SLACK_MM, Things, pairs_in_strips

FACING_LIKE: Final = 0.7
"""Sides of two things that face each other are at least so much of each other."""
ALONE: Final = 1.2
"""A third like thing has to be so many times as far, or it could as well belong to either."""

_STAGES: Final = (0.4, 0.65, 1.0)
"""Shares of the reach: most nearest neighbours are found before all of it is looked through."""


class Couples(NamedTuple):
    """Rows of two things that belong together, the lower first. Shape (k,), sorted by first."""

    first: IntArray
    second: IntArray


class _Nearest(NamedTuple):
    """The nearest thing of each, and how far it and the next are; -1 and infinite where there is none."""

    row: IntArray
    distance_mm: FloatArray
    next_mm: FloatArray


def facing_couples(things: Things, reach_mm: float) -> Couples:
    """
    Like things that face each other and are alone with each other.

    Like: both sides within 30 %. Facing: the centre of either lies on an axis of the other, within 0.06 mm.
    Alone: no third like thing lies within 1.2 times their distance of either.

    Args:
        things: Of round ones any line through the centre is an axis.
        reach_mm: Largest distance of two centres.

    Cost:
        Neighbours are found in sorted strips, those within a part of the reach first.
    """
    n = len(things.x_mm)
    nearest = _Nearest(np.full(n, -1), np.full(n, np.inf), np.full(n, np.inf))
    rows = np.arange(n)
    for share in _STAGES:
        within_mm = share * ALONE * reach_mm
        for i, j in pairs_in_strips(things.x_mm, things.y_mm, (rows, np.arange(n)), within_mm, within_mm):
            kept = _are_alike(things, i, j)
            _keep_two((things.x_mm, things.y_mm), (i[kept], j[kept]), within_mm, nearest)
        # what is known within a distance may hide nothing nearer than 1.2 times the nearest
        rows = rows[nearest.distance_mm[rows] * ALONE > within_mm]
    couples = _mutual(nearest, reach_mm)
    alone_mm = ALONE * nearest.distance_mm[couples.first] - SLACK_MM
    kept = (nearest.next_mm[couples.first] >= alone_mm) & (nearest.next_mm[couples.second] >= alone_mm)
    kept &= _are_facing(things, *couples) & _are_facing(things, couples.second, couples.first)
    return Couples(couples.first[kept], couples.second[kept])


def couples_of_kinds(x_mm: FloatArray, y_mm: FloatArray, kind: IntArray, reach_mm: float) -> Couples:
    """
    Things of one kind, where all of that kind come in twos within reach, apart from one another.

    So a part of two lands is found, and its copies on other boards of a panel, which bear the same name.

    Args:
        x_mm: Shape (n,).
        y_mm: Shape (n,).
        kind: From 0. Shape (n,).
        reach_mm: Largest distance of the two; a third of the kind is farther from either.
    """
    count = np.bincount(kind)
    rows = np.flatnonzero((count % 2 == 0)[kind])
    if not len(rows):
        return Couples(rows, rows)
    number = (np.cumsum(np.bincount(kind[rows]) > 0) - 1)[kind[rows]]
    # side by side, so that no two kinds come near each other
    apart_mm = number * (float(np.ptp(x_mm[rows])) + 3 * reach_mm)
    couples = _alone(x_mm[rows] + apart_mm, y_mm[rows], reach_mm)
    first, second = rows[couples.first], rows[couples.second]
    is_paired = np.bincount(kind[first], minlength=len(count)) * 2 == count
    kept = is_paired[kind[first]]
    return Couples(first[kept], second[kept])


def _alone(x_mm: FloatArray, y_mm: FloatArray, reach_mm: float) -> Couples:
    """Every two places of which each is the only one within reach of the other."""
    lanes = Lanes(x_mm, y_mm, reach_mm, reach_mm)
    count, other = np.zeros(len(x_mm), np.int64), np.zeros(len(x_mm), np.int64)
    for looks in lanes.looks(np.arange(len(x_mm))):
        looking = looks
        while len(looking.at):
            i, j = lanes.row[looking.at], lanes.row[looking.near]
            met = np.flatnonzero(np.hypot(x_mm[j] - x_mm[i], y_mm[j] - y_mm[i]) <= reach_mm + SLACK_MM)
            np.add.at(count, i[met], 1)
            other[i[met]] = j[met]
            # who has two is not alone with either
            looking = lanes.next(looking, np.where(count[i] > 1, -1.0, np.inf))
    first = np.flatnonzero(count == 1)
    kept = (count[other[first]] == 1) & (first < other[first])
    return Couples(first[kept], other[first[kept]])


def _keep_two(
    place: tuple[FloatArray, FloatArray],
    pair: tuple[IntArray, IntArray],
    within_mm: float,
    nearest: _Nearest,
) -> None:
    """Write the nearest of the others within reach, and how far the next is; all of a row's come at once."""
    (x, y), (i, j) = place, pair
    distance = np.hypot(x[j] - x[i], y[j] - y[i])
    kept = (i != j) & (distance <= within_mm + SLACK_MM)
    i, j, distance = i[kept], j[kept], distance[kept]
    if not len(i):
        return
    begin = np.flatnonzero(np.diff(i, prepend=-1))
    one = i[begin]
    least = np.minimum.reduceat(distance, begin)
    at = np.flatnonzero(distance == np.repeat(least, np.diff(np.append(begin, len(i)))))
    at = at[np.flatnonzero(np.diff(i[at], prepend=-1))]
    nearest.row[one], nearest.distance_mm[one] = j[at], least
    distance[at] = np.inf
    nearest.next_mm[one] = np.minimum.reduceat(distance, begin)


def _mutual(nearest: _Nearest, reach_mm: float) -> Couples:
    """Things that are each other's nearest, within reach."""
    first = np.flatnonzero((nearest.row >= 0) & (nearest.distance_mm <= reach_mm + SLACK_MM))
    second = nearest.row[first]
    kept = (nearest.row[second] == first) & (first < second)
    return Couples(first[kept], second[kept])


def _are_alike(things: Things, i: IntArray, j: IntArray) -> BoolArray:
    """Whether sides are within 30 % of each other."""
    alike = np.ones(len(i), bool)
    for side in (things.width_mm, things.length_mm):
        one, other = side[i], side[j]
        alike &= np.minimum(one, other) >= FACING_LIKE * np.maximum(one, other) - SLACK_MM
    return alike


def _are_facing(things: Things, i: IntArray, j: IntArray) -> BoolArray:
    """Whether the centre of one thing lies on an axis of another."""
    dx, dy = things.x_mm[j] - things.x_mm[i], things.y_mm[j] - things.y_mm[i]
    along, across = np.cos(things.direction_rad[i]), np.sin(things.direction_rad[i])
    beside = np.minimum(np.abs(dx * across - dy * along), np.abs(dx * along + dy * across))
    facing: BoolArray = things.is_round[i] | (beside <= BESIDE_MM + SLACK_MM)
    return facing
