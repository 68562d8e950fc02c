"""Two openings that are too close: which of them gives way, and by how much."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from pastecheck.check import Readings, TextArray
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows
from pastecheck.remedies.aims import (
    Aim,
    Failure,
    if_it_warns,
    keeps_limits,
    preferred,
    put_in_words,
    stepped_um,
    whole_um,
    wish_of,
    without_unit,
)
from pastecheck.report import is_round, steps_of_10_um
from pastecheck.units import NM_PER_MM, UM_PER_MM, shown

_LIKE_MM = 0.01
"""Openings whose sides differ by less are drawn alike."""
_MUCH_LARGER = 1.5
"""From this ratio of areas on, the larger of two openings is the one to give way."""
_ALIKE, _LARGER, _EACH, _SHORTER, _EDGES = 1, 2, 3, 4, 5
"""The ways to get two openings apart."""
_FILLED = 0.7
"""Openings that fill less of their rectangle (rings, arms) have no size that says which edge to move."""


class _Pairs(NamedTuple):
    """Pairs of openings that are too close; columns of shape (k,), or (2, k) for both openings."""

    rows: IntArray
    """Shape (2, k)."""
    shortens: BoolArray
    """Whether giving way takes from the length and not from the width. Shape (2, k)."""
    both_ways: BoolArray
    """Whether the openings have webs to widen along both axes, as panes have: then both sides give way."""
    sides: IntArray
    """On how many of its sides an opening gives way. Shape (2, k)."""
    looks_round: BoolArray
    """Shape (2, k)."""
    reading: FloatArray
    """What the check read, which tells pairs apart that are not as close."""
    are_like: BoolArray
    """Whether one new size does for both, kept in their middle: like openings in a row, and circles."""
    gap_mm: FloatArray
    """Distance of their boxes, and that along the axis in which they face each other; both 0 if turned."""
    facing_mm: FloatArray


def of_pairs(
    m: Measurements, aims: Sequence[Aim], failure: Failure, second: IntArray, instead: str
) -> TextArray:
    """What to do about each pair of openings."""
    pairs = _pairs(m, failure.failed, second)
    wishes_mm = [wish_of(m, failure, aim).give_way_mm for aim in aims]
    give_way_mm = [np.full(len(second), np.nan) if wish is None else wish for wish in wishes_mm]
    options = [_apart_um(m, aim, pairs, wish) for aim, wish in zip(aims, give_way_mm, strict=True)]
    wished = np.isfinite(give_way_mm[0])

    def say(figures: list[int]) -> str:
        way, one_um, other_um, still_warns, looks_round, wished, is_error = figures
        one, other = (shown(length / UM_PER_MM, "mm") for length in (one_um, other_um))
        if way:
            size = f"{one} across" if looks_round else f"{without_unit(one)} x {other}"
            words = {
                _ALIKE: f"make them {size}",
                _LARGER: f"take {one} off the larger opening, on the side that faces the other",
                _EACH: f"take {one} off each of the two sides that face each other",
                _SHORTER: f"shorten their longer side to {one}",
                _EDGES: f"move the edges that face each other {one} apart",
            }
            return words[way] + if_it_warns(still_warns)
        if not wished:
            return ""
        if is_error:
            return f"neither opening can give way enough: {instead}"
        return "cut a trial piece first: neither opening can give way without another finding"

    figures = (preferred(*options), pairs.looks_round[0], wished, failure.is_error)
    return put_in_words(np.column_stack(figures), say)


def _pairs(m: Measurements, failed: Readings, second: IntArray) -> _Pairs:
    rows = np.stack([failed.opening, second])
    width_mm, length_mm = m.width_mm[rows], m.length_mm[rows]
    box_mm = m.bounds_nm[rows] / NM_PER_MM
    apart = np.maximum(box_mm[1, :, :2] - box_mm[0, :, 2:], box_mm[0, :, :2] - box_mm[1, :, 2:])
    axis = (apart[:, 1] > apart[:, 0]).astype(np.int64)
    pair = np.arange(len(second))
    extent_mm = box_mm[:, pair, axis + 2] - box_mm[:, pair, axis]
    is_long = length_mm - width_mm > _LIKE_MM
    shortens = is_long & (np.abs(extent_mm - length_mm) < 1 / UM_PER_MM)
    is_square_on = (shortens | (np.abs(extent_mm - width_mm) < 1 / UM_PER_MM)).all(axis=0)
    looks_round = is_round(width_mm, length_mm, m.area_mm2[rows])
    is_square_on &= ~looks_round.any(axis=0)
    is_crowded = (np.bincount(rows.reshape(-1), minlength=len(m.openings))[rows] > 1).any(axis=0)
    along = np.zeros((2, len(m.openings)), bool)
    along[axis, rows] = True
    apart = np.maximum(apart, 0.0)
    return _Pairs(
        rows,
        shortens,
        (along[0] & along[1])[rows].any(axis=0),
        np.where(is_crowded | looks_round, 2, 1),
        looks_round,
        failed.values,
        (is_crowded | looks_round.all(axis=0))
        & (np.abs(width_mm[0] - width_mm[1]) < _LIKE_MM)
        & (np.abs(length_mm[0] - length_mm[1]) < _LIKE_MM)
        & (looks_round[0] == looks_round[1])
        & (shortens[0] == shortens[1]),
        np.where(is_square_on, np.hypot(*apart.T), 0.0),
        np.where(is_square_on, apart.max(axis=1), 0.0),
    )


def _apart_um(m: Measurements, aim: Aim, pairs: _Pairs, give_way_mm: FloatArray) -> IntArray:
    """How pairs get apart: the way, and one or two figures; 0 where there is none. Shape (k, 3)."""
    wanted_mm = np.where(np.isfinite(give_way_mm), give_way_mm * 2, 0.0)
    # corner to corner, a side that moves by x brings less than x: facing^2 + across^2 = gap^2
    across_mm2 = pairs.gap_mm**2 - pairs.facing_mm**2
    more_mm = np.sqrt((pairs.gap_mm + wanted_mm) ** 2 - across_mm2) - pairs.facing_mm
    ways = (
        _edges(m, pairs, wanted_mm),
        _alike(m, aim, pairs, more_mm),
        _larger(m, aim, pairs, more_mm),
        _each(m, aim, pairs, more_mm),
    )
    figures = np.select([way[:, :1] > 0 for way in ways], ways, 0)
    return np.where(wanted_mm[:, None] > 0, figures, 0)


def _alike(m: Measurements, aim: Aim, pairs: _Pairs, more_mm: FloatArray) -> IntArray:
    """Like openings get one new size, the same for all of a component that are as close."""
    reduced = _reduced(m, pairs, pairs.sides * more_mm / 2)
    is_cut = _cut_sides(pairs)
    size_um = np.where(is_cut, stepped_um(reduced, upward=False), whole_um(reduced)).min(axis=1)
    drawn = (m.width_mm[pairs.rows[0]], m.length_mm[pairs.rows[0]], pairs.reading)
    key = (*m.openings.label[pairs.rows], *map(steps_of_10_um, drawn), pairs.shortens[0], pairs.are_like)
    kind = distinct_rows(np.column_stack(key)).inverse
    smallest_um = np.full((2, len(more_mm)), np.iinfo(np.int64).max)
    for side in (0, 1):
        np.minimum.at(smallest_um[side], kind, size_um[side])
    width_um, length_um = np.sort(smallest_um[:, kind], axis=0)
    keeps = keeps_limits(m, aim, pairs.rows[0], width_um / UM_PER_MM, length_um / UM_PER_MM) & pairs.are_like
    # a side that was the longer one and is not any more cannot be told by two sorted figures
    shorter = (smallest_um[1] < smallest_um[0])[kind] & pairs.shortens[0] & ~pairs.both_ways
    longer_um = smallest_um[1][kind]
    way = np.where(shorter, _SHORTER, _ALIKE)
    return np.column_stack(
        [keeps * way, np.where(shorter, longer_um, width_um), np.where(shorter, longer_um, length_um)]
    )


def _edges(m: Measurements, pairs: _Pairs, wanted_mm: FloatArray) -> IntArray:
    """Of rings and arms only the edges can be named."""
    rectangle_mm2 = m.width_mm[pairs.rows] * m.length_mm[pairs.rows]
    is_odd = (m.area_mm2[pairs.rows] < _FILLED * rectangle_mm2).any(axis=0)
    amount_um = stepped_um(wanted_mm, upward=True)
    return np.column_stack([is_odd * _EDGES, amount_um, amount_um])


def _larger(m: Measurements, aim: Aim, pairs: _Pairs, more_mm: FloatArray) -> IntArray:
    """The larger of two unlike openings gives way alone."""
    area_mm2 = m.area_mm2[pairs.rows]
    is_larger = np.stack([area_mm2[0] > area_mm2[1], area_mm2[1] >= area_mm2[0]])
    amount_um = stepped_um(more_mm, upward=True)
    keeps = _keep_less(m, aim, pairs, amount_um) | ~is_larger
    is_much_larger = area_mm2.max(axis=0) >= _MUCH_LARGER * area_mm2.min(axis=0)
    looks_round = (pairs.looks_round & is_larger).any(axis=0)
    would_do = keeps.all(axis=0) & is_much_larger & ~looks_round
    return np.column_stack([would_do * _LARGER, amount_um, amount_um])


def _each(m: Measurements, aim: Aim, pairs: _Pairs, more_mm: FloatArray) -> IntArray:
    """Both openings give way by half."""
    amount_um = stepped_um(more_mm / 2, upward=True)
    keeps = _keep_less(m, aim, pairs, amount_um).all(axis=0) & ~pairs.are_like
    return np.column_stack([keeps * _EACH, amount_um, amount_um])


def _keep_less(m: Measurements, aim: Aim, pairs: _Pairs, amount_um: IntArray) -> BoolArray:
    """Whether openings keep their limits when each side that gives way does so by an amount. Shape (2, k)."""
    width_mm, length_mm = np.sort(_reduced(m, pairs, pairs.sides * amount_um / UM_PER_MM), axis=0)
    return np.stack([keeps_limits(m, aim, pairs.rows[k], width_mm[k], length_mm[k]) for k in (0, 1)])


def _reduced(m: Measurements, pairs: _Pairs, less_mm: FloatArray) -> FloatArray:
    """Width and length of both openings less what they give way; not sorted. Shape (2, 2, k)."""
    width_mm, length_mm = m.width_mm[pairs.rows], m.length_mm[pairs.rows]
    narrows, shortens = _cut_sides(pairs)
    return np.stack([width_mm - less_mm * narrows, length_mm - less_mm * shortens])


def _cut_sides(pairs: _Pairs) -> BoolArray:
    """Whether width, and whether length, gives way. Shape (2, 2, k)."""
    both = pairs.looks_round | pairs.both_ways
    return np.stack([both | ~pairs.shortens, both | pairs.shortens])
