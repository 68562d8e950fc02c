"""What the checks wish for, put together for each opening and each pair."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.remedies.aims import Aim, Failure, Wishes


class Wanted(NamedTuple):
    """What would end all findings, or all errors. Columns of shape (n,), and (k,) for pairs."""

    least_mm: FloatArray
    """Width that openings have to grow to; -inf for none."""
    most_mm: FloatArray
    """Width that they have to be narrowed to; inf for none."""
    thickest_mm: FloatArray
    """Foil that would do; inf where nothing fails, NaN where it would not end some finding."""
    thinnest_mm: FloatArray
    """Foil that would do, where it must be thicker; -inf where nothing fails, NaN as above."""
    needs_advice: BoolArray
    """Whether advice has to help, besides another foil, to end all findings of an opening."""
    first: IntArray
    """Pairs that have to get apart; a pair that fails several checks stands there as often."""
    second: IntArray
    more_mm: FloatArray
    """By how much."""


_LIKE_MM: Final = 0.01
"""Openings whose sides differ by less are drawn alike."""


def like_ends(m: Measurements) -> IntArray:
    """The two openings of each part of two lands, where they are drawn alike. Shape (2, k)."""
    parts = m.parts_of_two_lands
    both = np.stack([parts.first, parts.second])
    off_mm = [np.abs(np.diff(side[both], axis=0)[0]) for side in (m.width_mm, m.length_mm)]
    return both[:, np.maximum(*off_mm) < _LIKE_MM]


def wanted(m: Measurements, aim: Aim, failures: Sequence[Failure], wishes: Sequence[Wishes]) -> Wanted:
    """The largest of all changes that are wished for."""
    count = len(m.openings)
    least_mm, thinnest_mm = np.full((2, count), -np.inf)
    most_mm, thickest_mm = np.full((2, count), np.inf)
    needs_advice = np.zeros(count, bool)
    firsts, seconds, mores_mm = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)], [np.zeros(0)]
    for failure, every in zip(failures, wishes, strict=True):
        rows = failure.concerned(aim)
        if not failure.is_of_openings or not len(rows):
            continue
        first, second = (each[rows] for each in failure.failed.pairs)
        wish = every.rows(rows)
        np.fmax.at(least_mm, first, wish.width_mm)
        np.fmin.at(most_mm, first, wish.narrowed_mm)
        if failure.failed.other is None:
            # what advice helps does not stand in the way of another foil
            advised = (wish.advice != "").astype(bool)
            with np.errstate(invalid="ignore"):  # NaN is what is not helped, and stays
                np.minimum.at(thickest_mm, first, np.where(advised, np.inf, wish.thickness_mm))
                np.maximum.at(thinnest_mm, first, np.where(advised, -np.inf, wish.thinnest_mm))
            needs_advice[first[advised]] = True
        lack = np.flatnonzero(wish.give_way_mm > 0)
        firsts.append(first[lack])
        seconds.append(second[lack])
        mores_mm.append(2 * wish.give_way_mm[lack])
    least_mm = _with_other_ends(m, least_mm)
    pairs = np.concatenate(firsts), np.concatenate(seconds), np.concatenate(mores_mm)
    return Wanted(least_mm, most_mm, thickest_mm, thinnest_mm, needs_advice, *pairs)


def _with_other_ends(m: Measurements, least_mm: FloatArray) -> FloatArray:
    """The same, and of parts whose one end is to grow the other as well, or their balance would be lost."""
    if not np.isfinite(least_mm).any():
        return least_mm
    both = like_ends(m)
    grows = np.isfinite(least_mm[both]).any(axis=0)
    found = least_mm.copy()
    np.maximum.at(found, both[:, grows], m.width_mm[both[:, grows]])
    return found
