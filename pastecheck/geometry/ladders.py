"""Rows of one part that gaps have broken: rows on one ladder, with whole steps missing between them."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.dissolve import connected
from pastecheck.geometry.neighbours import LIKE_MM, SLACK_MM
from pastecheck.geometry.rows import OFF_LADDER_MM, Rows
from pastecheck.ragged import offsets, rows_of_runs, within_runs
from pastecheck.units import NM_PER_MM

MOST_MISSING: Final = 6
"""
A key of a connector leaves out up to four contacts at 0.5 mm and at 0.8 mm; farther on it is another part.
Common practice, no source.
"""

_CELL_MM: Final = 0.25


def ladders_of_rows(rows: Rows, place_nm: IntArray, size_mm: FloatArray) -> IntArray:
    """
    Number of the ladder that each row is on: rows of one part are on one though leads between are missing.

    Two rows are on one ladder if at most six rungs are missing between their ends, their openings are like,
    and all openings of both lie within 0.03 mm of an even ladder fitted to them. It goes on from row to row.

    Args:
        rows: As `rows_of` gives them.
        place_nm: The centres they were found by. Shape (n, 2).
        size_mm: Width and length of the openings. Shape (n, 2).

    Returns:
        Numbers from 0, in order of the rows. Shape (r,).

    Cost:
        For each row twice six look-ups among the ends of rows, and a fit for each two ends that meet.
    """
    if not len(rows):
        return np.zeros(0, np.int64)
    place = (place_nm - place_nm.min(axis=0)) / NM_PER_MM
    ways = _both_ways(rows)
    step = (place[ways.last] - place[ways.first]) / (ways.size - 1)[:, None]
    one, other, missing = _ends_ahead(place[ways.first], place[ways.last], step)
    # each two rows are met from both sides, and the same row may be met the other way round
    kept = (one % len(rows) < other % len(rows)) & ((step[one] * step[other]).sum(axis=1) > 0)
    kept &= (np.abs(size_mm[ways.last[one]] - size_mm[ways.first[other]]) <= LIKE_MM + SLACK_MM).all(axis=1)
    one, other, missing = one[kept], other[kept], missing[kept]
    fits = _fit_together(ways, place, (one, other), missing)
    lowest = connected(len(rows), one[fits] % len(rows), other[fits] % len(rows))
    return np.unique(lowest, return_inverse=True)[1].astype(np.int64)


class _Ways(NamedTuple):
    """Rows, and behind them the same rows walked the other way. Shape (2 r,)."""

    member: IntArray
    """Openings of all of them, one behind the other."""
    begin: IntArray
    size: IntArray

    @property
    def first(self) -> IntArray:
        """The opening that each begins with."""
        return self.member[self.begin]

    @property
    def last(self) -> IntArray:
        """The opening that each ends with."""
        end: IntArray = self.begin + self.size
        return self.member[end - 1]


def _both_ways(rows: Rows) -> _Ways:
    begin = offsets(rows.row_count)[:-1]
    back = np.repeat(begin + rows.row_count - 1, rows.row_count) - within_runs(rows.row_count)
    member = np.concatenate([rows.member, rows.member[back]])
    return _Ways(member, np.append(begin, begin + len(rows.member)), np.tile(rows.row_count, 2))


def _ends_ahead(first: FloatArray, last: FloatArray, step: FloatArray) -> tuple[IntArray, IntArray, IntArray]:
    """Rows, rows that begin where their ladder leads, and how many rungs are missing between."""
    rows = np.arange(len(first))
    found = []
    for rungs in range(2, MOST_MISSING + 2):
        # a pitch is known to 0.06 over the row's length; the fit decides, this only finds
        one, other = _near(last + rungs * step, first)
        found.append((rows[one], other, np.full(len(one), rungs - 1)))
    one, other, missing = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return one, other, missing


def _near(wanted: FloatArray, there: FloatArray) -> tuple[IntArray, IntArray]:
    """Pairs of places at most a cell's side apart both ways."""
    cell = np.floor(there / _CELL_MM).astype(np.int64)
    low, span = cell.min(axis=0), int(np.ptp(cell[:, 1])) + 3
    key = (cell[:, 0] - low[0]) * span + cell[:, 1] - low[1]
    order = np.argsort(key)
    about = np.floor(wanted / _CELL_MM).astype(np.int64) - low
    ones, others = [], []
    inside = (about[:, 1] >= -1) & (about[:, 1] < span - 1)
    for column in (-1, 0, 1):
        at = (about[:, 0] + column) * span + about[:, 1]
        begin = np.searchsorted(key[order], at - 1)
        count = (np.searchsorted(key[order], at + 1, side="right") - begin) * inside
        ones.append(np.repeat(np.arange(len(wanted)), count))
        others.append(order[rows_of_runs(begin, count)])
    one, other = np.concatenate(ones), np.concatenate(others)
    close = (np.abs(wanted[one] - there[other]) <= _CELL_MM).all(axis=1)
    return one[close], other[close]


def _fit_together(
    ways: _Ways, place: FloatArray, pair: tuple[IntArray, IntArray], missing: IntArray
) -> BoolArray:
    """Whether all openings of two rows lie on one even ladder, so many rungs of which are missing."""
    ends = np.column_stack(pair)
    if not len(ends):
        return np.zeros(0, bool)
    counts = ways.size[ends]
    member = ways.member[rows_of_runs(ways.begin[ends].ravel(), counts.ravel())]
    both = counts.sum(axis=1)
    of_pair = np.repeat(np.arange(len(ends)), both)
    rung = within_runs(both)
    rung = (rung + np.where(rung >= counts[of_pair, 0], missing[of_pair], 0)).astype(np.float64)
    rung -= (np.bincount(of_pair, weights=rung) / both)[of_pair]
    at = place[member] - place[member[offsets(both)[:-1]]][of_pair]
    off = np.zeros(len(member))
    for xy in at.T:
        middle = np.bincount(of_pair, weights=xy) / both
        slope = np.bincount(of_pair, weights=rung * xy) / np.bincount(of_pair, weights=rung**2)
        off += (xy - middle[of_pair] - slope[of_pair] * rung) ** 2
    fits: BoolArray = np.maximum.reduceat(off, offsets(both)[:-1]) <= (OFF_LADDER_MM + SLACK_MM) ** 2
    return fits
