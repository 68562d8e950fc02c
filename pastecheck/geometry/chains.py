"""Chains of links put in order, and chains cut where they leave an even ladder."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import offsets, rows_of_runs, within_runs


class Chains(NamedTuple):
    """Chains of links, one behind the other, each once though it can be walked both ways."""

    link: IntArray
    """Links in order."""
    offset: IntArray
    """Chain c has the links offset[c] to offset[c + 1]."""


def chains_of(following: IntArray, twin: IntArray) -> Chains:
    """
    Chains that links make, in order.

    Args:
        following: The link after each; -1 where a chain ends. Links follow one another the other way round
            too: the twin of what follows a link is followed by its own twin. Shape (k,).
        twin: The same link walked the other way. Shape (k,).

    Returns:
        Chains of two links or more; closed ones are opened at their link of the lowest row.

    Cost:
        k log(length of the longest chain): each link learns where its chain ends by asking ever farther on.
    """
    following, last, steps = _opened(following)
    begins = np.ones(len(following), bool)
    begins[following[following >= 0]] = False
    first = np.flatnonzero(begins & (following >= 0))
    # a chain and its reverse end in the twins of each other's first links: one of the two is kept; a chain
    # that was closed is opened apart for each way round, so that the lowest end of the same links is kept
    first = first[_kept_of_twins(first, last, twin)]
    count = steps[first] + 1
    offset = offsets(count)
    place = np.full(len(following), -1, np.int64)
    place[last[first]] = offset[1:] - 1
    rows = np.flatnonzero(place[last] >= 0)
    link = np.zeros(offset[-1], np.int64)
    link[place[last[rows]] - steps[rows]] = rows
    return Chains(link, offset)


def _kept_of_twins(first: IntArray, last: IntArray, twin: IntArray) -> BoolArray:
    """Which of the chains that begin at these links to keep, so that each is walked one way only."""
    reverse = last[twin[first]]
    kept: BoolArray = last[first] < reverse
    return kept


def _opened(following: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """The same links, each ring of them cut before its lowest row; where each ends, and how many links on."""
    last, steps = _ends(following)
    in_ring = np.flatnonzero(following[last] >= 0)
    if not len(in_ring):
        return following, last, steps
    lowest, ahead = np.arange(len(following)), following.copy()
    for _ in range(int(np.ceil(np.log2(len(in_ring) + 1))) + 1):
        lowest[in_ring] = np.minimum(lowest[in_ring], lowest[ahead[in_ring]])
        ahead[in_ring] = ahead[ahead[in_ring]]
    opened = following.copy()
    opened[in_ring[following[in_ring] == lowest[in_ring]]] = -1
    return opened, *_ends(opened)


def _ends(following: IntArray) -> tuple[IntArray, IntArray]:
    """
    The last link of each link's chain, and how many links on; anywhere in it where the chain is a ring.

    Links that are followed by the next row make a run, which is passed at once.
    """
    rows = np.arange(len(following))
    stops = following != rows + 1
    run = np.cumsum(stops) - stops
    stop = np.flatnonzero(stops)
    onward = following[stop]
    goes_on = onward >= 0
    ahead = np.where(goes_on, run[onward], np.arange(len(stop)))
    steps = np.where(goes_on, 1 + stop[run[onward]] - onward, 0)
    steps[ahead == np.arange(len(stop))] = 0
    ahead, steps = _far_ahead(ahead, steps)
    return stop[ahead[run]], stop[run] - rows + steps[run]


def _far_ahead(ahead: IntArray, steps: IntArray) -> tuple[IntArray, IntArray]:
    """Where each comes that goes ahead again and again, and in how many steps; where it stays it is there."""
    ahead, steps = ahead.copy(), steps.copy()
    rows = np.flatnonzero(ahead != np.arange(len(ahead)))
    for _ in range(int(np.ceil(np.log2(len(ahead) + 1))) + 1):
        rows = rows[ahead[ahead[rows]] != ahead[rows]]
        if not len(rows):
            break
        # all of this round ask before any of them moves on
        steps[rows], ahead[rows] = steps[rows] + steps[ahead[rows]], ahead[ahead[rows]]
    return ahead, steps


class Ladders(NamedTuple):
    """Even ladders along chains of points: points begin[l] to end[l], the end included. Shape (l,) each."""

    begin: IntArray
    end: IntArray
    step_mm: FloatArray
    """From rung to rung. Shape (l, 2)."""


def ladders_of(at_mm: FloatArray, offset: IntArray, tolerance_mm: float) -> Ladders:
    """
    Even ladders of three points or more that lie along chains, and together reach every point of them.

    A chain whose points do not all lie within the tolerance of the ladder fitted to them by least squares is
    cut at the point farthest from the even ladder between its ends, which both parts keep (so Douglas and
    Peucker simplify lines). Of equal ones that nearest to the middle, or both. A point that would be left in
    a part of two is kept in each three that it is in.

    Args:
        at_mm: Points; each three that follow one another lie within the tolerance of an even ladder.
            Shape (k, 2).
        offset: Chain c has the points offset[c] to offset[c + 1], three or more. Shape (chains + 1,).
        tolerance_mm: Largest distance of a point from its ladder.
    """
    begin, end = offset[:-1], offset[1:] - 1
    done: list[tuple[IntArray, IntArray]] = []
    short: list[tuple[IntArray, IntArray]] = []
    while len(begin):
        fits = _off_ladder(at_mm, begin, end) <= tolerance_mm
        fits |= end - begin == 2
        done.append((begin[fits], end[fits]))
        begin, end = _cut(at_mm, begin[~fits], end[~fits])
        is_short = end - begin < 2
        short.append((begin[is_short], end[is_short]))
        begin, end = begin[~is_short], end[~is_short]
    begin, end = (np.concatenate(parts) for parts in zip(*done, strict=True)) if done else (begin, end)
    if any(len(one) for one, _ in short):
        threes = _threes_of_lonely(offset, begin, end)
        begin, end = np.append(begin, threes - 1), np.append(end, threes + 1)
    return Ladders(begin, end, _fitted(at_mm, begin, end))


def _threes_of_lonely(offset: IntArray, begin: IntArray, end: IntArray) -> IntArray:
    """The middle points of all threes about points that are in no ladder."""
    lonely = np.ones(offset[-1], bool)
    lonely[rows_of_runs(begin, end - begin + 1)] = False
    inner = np.ones(offset[-1], bool)
    inner[offset[:-1]] = inner[offset[1:] - 1] = False
    near = lonely.copy()
    near[1:] |= lonely[:-1]
    near[:-1] |= lonely[1:]
    middle: IntArray = np.flatnonzero(near & inner)
    return middle


def _spread(begin: IntArray, end: IntArray) -> tuple[IntArray, IntArray, FloatArray]:
    """All points of ladders: their row, their ladder, and their rung, counted from its middle."""
    count = end - begin + 1
    ladder = np.repeat(np.arange(len(begin)), count)
    return rows_of_runs(begin, count), ladder, within_runs(count) - (count[ladder] - 1) / 2


def _fitted(at_mm: FloatArray, begin: IntArray, end: IntArray) -> FloatArray:
    """Steps of ladders fitted by least squares. Shape (l, 2)."""
    point, ladder, rung = _spread(begin, end)
    count = end - begin + 1
    weight = count * (count.astype(np.float64) ** 2 - 1) / 12
    # about the first point: places far from the origin would take digits away
    local = at_mm[point] - at_mm[begin][ladder]
    sums = [np.bincount(ladder, weights=rung * xy, minlength=len(begin)) for xy in local.T]
    step: FloatArray = np.column_stack(sums) / weight[:, None]
    return step


def _off_ladder(at_mm: FloatArray, begin: IntArray, end: IntArray) -> FloatArray:
    """Largest distance of a point from its fitted ladder. Shape (l,)."""
    point, ladder, rung = _spread(begin, end)
    count = end - begin + 1
    local = at_mm[point] - at_mm[begin][ladder]
    middle = np.column_stack(
        [np.bincount(ladder, weights=xy, minlength=len(begin)) / count for xy in local.T]
    )
    away = local - middle[ladder] - rung[:, None] * _fitted(at_mm, begin, end)[ladder]
    first = offsets(count)[:-1]
    farthest: FloatArray = np.maximum.reduceat(np.hypot(*away.T), first)
    return farthest


_AS_FAR_MM = 1e-6


def _cut(at_mm: FloatArray, begin: IntArray, end: IntArray) -> tuple[IntArray, IntArray]:
    """Both parts of each ladder, cut at the point farthest from the even ladder between its ends."""
    if not len(begin):
        return begin, end
    point, ladder, rung = _spread(begin, end)
    span = (end - begin)[ladder]
    share = rung / span + 0.5
    local = at_mm[point] - at_mm[begin][ladder]
    away = np.hypot(*(local - share[:, None] * (at_mm[end] - at_mm[begin])[ladder]).T)
    first = offsets(end - begin + 1)[:-1]
    farthest = np.maximum.reduceat(away, first)[ladder]
    inner = (point != begin[ladder]) & (point != end[ladder])
    off_middle = np.where(inner & (away >= farthest - _AS_FAR_MM), np.abs(rung), np.inf)
    cut = off_middle == np.minimum.reduceat(off_middle, first)[ladder]
    return (
        np.concatenate([begin, point[cut]])[_by_place(ladder, point, cut, begin)],
        np.concatenate([end, point[cut]])[_by_place(ladder, point, cut, end)],
    )


def _by_place(ladder: IntArray, point: IntArray, cut: BoolArray, edge: IntArray) -> IntArray:
    """Order that puts the edges of ladders and the points where they are cut behind one another."""
    return np.lexsort(
        (np.concatenate([edge, point[cut]]), np.concatenate([np.arange(len(edge)), ladder[cut]]))
    )
