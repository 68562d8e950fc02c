"""Changes of size that would do what the checks wish for, before they are held against all limits."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.dissolve import connected
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed, are_moved
from pastecheck.ragged import distinct_rows
from pastecheck.remedies.facing import drawn_back, facing
from pastecheck.remedies.steps import stepped_mm
from pastecheck.remedies.wishes import Wanted, like_ends
from pastecheck.report import is_round

MOST_GROWTH_MM: Final = 0.5
MOST_TIMES: Final = 3.0
"""
An opening that would have to grow by more, or to print so many times as much, is another part, not a remedy:
`common practice, no source`.
"""
FILLED: Final = 0.7
"""Openings that fill less of their rectangle (rings, arms) have no size that could be told by two sides."""
_LIKE_MM: Final = 0.01
"""Openings whose sides differ by less are drawn alike."""
_MUCH_LARGER: Final = 1.5
"""From this ratio of areas on, the larger of two openings is the one to give way."""

Keeps = Callable[[Changed, IntArray], BoolArray]
"""Which of some openings keep the limits of single openings in a changed layer. Shape as of their rows."""


@dataclass(frozen=True, eq=False, slots=True)
class Parties:
    """Openings, and which of them have to change together; columns of shape (n,)."""

    m: Measurements
    unit: IntArray
    """Like openings that fail together have equal numbers, and change alike."""
    change_alike: BoolArray
    """Whether they get a new size about their middle, as in a row; a lone pair gives way on one side each."""
    looks_round: BoolArray
    has_size: BoolArray
    """Whether two sides tell what an opening is."""


class Proposal(NamedTuple):
    """A change for each opening that wishes for one. Shape (n, 2, 2) each, as `Changed.inset_mm`."""

    grown_mm: FloatArray
    shrunk_mm: FloatArray
    inset_mm: FloatArray
    """What can be tried: nothing where an opening, or another of its unit, would have to become both."""


def parties(m: Measurements, wanted: Wanted) -> Parties:
    """
    Like openings that face each other the same way and are too close are of one unit: a row, an array.

    So are those of one row or grid that wish for the same kind of change, for a row stays a row; and the two
    of a part that are to grow, for a chip keeps its balance.
    """
    count = len(m.openings)
    looks_round = is_round(m.width_mm, m.length_mm, m.area_mm2)
    has_size = m.area_mm2 >= FILLED * m.width_mm * m.length_mm
    rows = np.stack([wanted.first, wanted.second])
    axis = facing(Changed.as_drawn(m), *rows).axis
    like = (looks_round[rows[0]] == looks_round[rows[1]]) & has_size[rows].all(axis=0)
    for sides_mm in (m.width_mm, m.length_mm):
        like &= np.abs(sides_mm[rows[0]] - sides_mm[rows[1]]) < _LIKE_MM
    like &= looks_round[rows[0]] | (axis[0] == axis[1])
    grows, shrinks = np.isfinite(wanted.least_mm), np.isfinite(wanted.most_mm)
    shrinks[rows[:, like]] = True
    beside, ends = _neighbours_in_rows(m), like_ends(m)
    together = (grows[beside].all(axis=0) | shrinks[beside].all(axis=0)) & has_size[beside].all(axis=0)
    grow = (grows & has_size)[ends].all(axis=0)
    joined = np.concatenate([rows[:, like], beside[:, together], ends[:, grow]], axis=1)
    unit = connected(count, *joined)
    once = rows[:, distinct_rows(rows.T).first]
    neighbours = np.bincount(once.reshape(-1), minlength=count)
    alone = np.bincount(unit, minlength=count) <= 2
    change_alike = ~alone
    change_alike[unit[neighbours > 1]] = True
    change_alike[unit[np.isfinite(wanted.most_mm) | looks_round]] = True
    return Parties(m, unit, change_alike[unit], looks_round, has_size)


def _neighbours_in_rows(m: Measurements) -> IntArray:
    """Each two that follow each other in a row of three or more. Shape (2, k)."""
    row = np.repeat(np.arange(len(m.rows)), m.rows.row_count)
    beside = np.flatnonzero(np.diff(row) == 0)
    return np.stack([m.rows.member[beside], m.rows.member[beside + 1]])


def proposal(of: Parties, wanted: Wanted, keeps: Keeps) -> Proposal:
    """
    What would do, all openings changed together.

    Args:
        of: Which openings change together.
        wanted: What is wished for.
        keeps: Tells which openings keep the limits of single openings.
    """
    grown_mm = _grown(of, wanted)
    grows = are_moved(grown_mm)
    alike_mm = _alike(of, wanted)
    changed = replace(Changed.as_drawn(of.m), inset_mm=alike_mm)
    shrunk_mm = _one_sided(of, wanted, changed, keeps)
    if not grows.any():
        return Proposal(grown_mm, shrunk_mm, shrunk_mm)
    are_both = np.zeros(len(grows), bool)
    are_both[of.unit[grows & are_moved(shrunk_mm)]] = True
    inset_mm = np.where(are_both[of.unit][:, None, None], 0.0, grown_mm + shrunk_mm)
    return Proposal(grown_mm, shrunk_mm, inset_mm)


def nearer_mm(of: Parties, *wants: Wanted) -> float:
    """How much nearer to each other openings may come, if all grow as they wish."""
    growths_mm = [float(-_grown(of, wanted).min(initial=0.0)) for wanted in wants]
    return 2 * float(np.hypot(max(growths_mm), max(growths_mm)))


def _grown(of: Parties, wanted: Wanted) -> FloatArray:
    """Wider on both sides, and longer where the width would be more than the length."""
    m, rows = of.m, np.flatnonzero(np.isfinite(wanted.least_mm) & of.has_size)
    least_mm = np.zeros(len(of.unit))
    np.maximum.at(least_mm, of.unit[rows], wanted.least_mm[rows])
    width_mm = stepped_mm(least_mm[of.unit[rows]], upward=True)
    drawn_mm, length_mm = m.width_mm[rows], m.length_mm[rows]
    growth_mm, longer_mm = width_mm - drawn_mm, np.maximum(width_mm - length_mm, 0.0)
    grows = (growth_mm > ROUNDING) & (growth_mm <= MOST_GROWTH_MM)
    grows &= width_mm * (length_mm + longer_mm) <= MOST_TIMES * drawn_mm * length_mm
    return _both_ends(len(least_mm), rows, -np.column_stack([longer_mm, growth_mm]) * grows[:, None] / 2)


def _alike(of: Parties, wanted: Wanted) -> FloatArray:
    """One new size for all of a unit, each about its middle."""
    m, count = of.m, len(of.unit)
    new_mm = np.full((count, 2), np.inf)
    narrow = np.flatnonzero(np.isfinite(wanted.most_mm) & of.has_size)
    is_square = m.length_mm[narrow] - m.width_mm[narrow] < _LIKE_MM
    new_mm[narrow, 1] = wanted.most_mm[narrow]
    new_mm[narrow, 0] = np.where(is_square, wanted.most_mm[narrow], np.inf)
    pairs = np.flatnonzero((of.unit[wanted.first] == of.unit[wanted.second]) & of.change_alike[wanted.first])
    if len(pairs):
        rows = np.stack([wanted.first, wanted.second])[:, pairs]
        at = facing(Changed.as_drawn(m), *rows)
        more_mm = wanted.more_mm[pairs]
        lack_mm = np.where(of.looks_round[rows], more_mm, at.lacking_mm(at.gap_mm + more_mm, more_mm))
        less_mm = drawn_back(count, rows, at, lack_mm / 2, of.looks_round).max(axis=2)
        less = np.flatnonzero((less_mm > 0).any(axis=1))
        sides_mm = np.column_stack([m.length_mm[less], m.width_mm[less]])
        smaller_mm = np.where(less_mm[less] > 0, sides_mm - 2 * less_mm[less], np.inf)
        new_mm[less] = np.minimum(new_mm[less], smaller_mm)
    least_mm = np.full((count, 2), np.inf)
    np.minimum.at(least_mm, of.unit, new_mm)
    rows = np.flatnonzero(np.isfinite(np.minimum(*least_mm.T))[of.unit])
    new_mm = stepped_mm(least_mm[of.unit[rows]], upward=False)
    sides_mm = np.column_stack([m.length_mm[rows], m.width_mm[rows]])
    return _both_ends(count, rows, np.where(new_mm < sides_mm, (sides_mm - new_mm) / 2, 0.0))


def _both_ends(count: int, rows: IntArray, inset_mm: FloatArray) -> FloatArray:
    """Sides of some openings drawn in at both of their ends. Shape (count, 2, 2)."""
    every_mm = np.zeros((count, 2) if len(rows) else (1, 2))
    every_mm[rows] = inset_mm
    return np.broadcast_to(every_mm[:, :, None], (count, 2, 2))


def _one_sided(of: Parties, wanted: Wanted, changed: Changed, keeps: Keeps) -> FloatArray:
    """With what pairs still lack taken off the sides that face each other: of the larger, or half of each."""
    count = len(of.unit)
    pairs = np.flatnonzero(
        ((of.unit[wanted.first] != of.unit[wanted.second]) | ~of.change_alike[wanted.first])
        & of.has_size[wanted.first]
        & of.has_size[wanted.second]
    )
    if not len(pairs):
        return changed.inset_mm
    rows = np.stack([wanted.first, wanted.second])[:, pairs]
    as_drawn = facing(Changed.as_drawn(of.m), *rows)
    at = facing(changed, *rows)
    more_mm = wanted.more_mm[pairs]
    nearer_mm = np.maximum(more_mm - (at.gap_mm - as_drawn.gap_mm), 0.0)
    lack_mm = at.lacking_mm(as_drawn.gap_mm + more_mm, nearer_mm)
    lack_mm = np.where(of.looks_round[rows], nearer_mm, lack_mm)
    half_mm, whole_mm = (stepped_mm(lack_mm / parts, upward=True) for parts in (2, 1))
    can_half, can_whole = (
        _can(changed, keeps, drawn_back(count, rows, at, amount, of.looks_round), rows)
        for amount in (half_mm, whole_mm)
    )
    area_mm2 = of.m.area_mm2[rows]
    larger = (area_mm2[1] >= area_mm2[0]).astype(np.int64)
    is_larger = np.arange(2)[:, None] == larger
    much = area_mm2.max(axis=0) >= _MUCH_LARGER * area_mm2.min(axis=0)
    much &= ~(of.looks_round[rows] & is_larger).any(axis=0)
    can_larger, can_smaller = ((can_whole & is_it).any(axis=0) for is_it in (is_larger, ~is_larger))
    halves = can_half.all(axis=0)
    amounts = np.select(
        [much & can_larger, halves, can_larger, can_smaller],
        [whole_mm * is_larger, half_mm, whole_mm * is_larger, whole_mm * ~is_larger],
        half_mm,
    )
    return changed.inset_mm + drawn_back(count, rows, at, amounts, of.looks_round)


def _can(changed: Changed, keeps: Keeps, inset_mm: FloatArray, rows: IntArray) -> BoolArray:
    """Which of some openings keep their limits if they give way by so much more."""
    return keeps(replace(changed, inset_mm=changed.inset_mm + inset_mm), rows)
