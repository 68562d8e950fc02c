"""Things that lie at the same place in two layers: found by cells of a grid, and paired one to one."""

from itertools import product
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import HashArray, among, rows_of_runs

_KEYS: Final = tuple(np.uint64(odd) for odd in (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9))
"""Odd numbers by which a kind and a cell become one number; that two cells share one only costs time."""

_MOST_ROUNDS: Final = 100
"""Of pairing. Things that are in doubt after that, as in a file made to keep us busy, stay alone."""


class Matched(NamedTuple):
    """Rows of the one and of the other that belong together. Shape (k,) each."""

    one: IntArray
    other: IntArray


NOTHING: Final = Matched(np.zeros(0, np.int64), np.zeros(0, np.int64))


class Places:
    """Things by kind and place, to be asked which of them lie near others."""

    def __init__(self, place_nm: IntArray, kind: IntArray, reach_nm: int) -> None:
        """
        Sort them.

        Args:
            place_nm: Shape (n, 2).
            kind: What each is; only like things are near. Shape (n,).
            reach_nm: How far apart in x and in y things are near at most; more than 0.
        """
        self._place_nm, self._kind, self._reach_nm = place_nm, kind, reach_nm
        key = _keys(place_nm // reach_nm, kind)
        self._order = np.argsort(key, kind="stable")
        self._key = key[self._order]

    def near(self, place_nm: IntArray, kind: IntArray) -> Matched:
        """All pairs of things asked for (the one) with those near them (the other), in no order."""
        cell, found = place_nm // self._reach_nm, [NOTHING]
        for step in product((-1, 0, 1), repeat=2):
            key = _keys(cell + np.array(step), kind)
            begin = np.searchsorted(self._key, key, side="left")
            count = np.searchsorted(self._key, key, side="right") - begin
            one = np.repeat(np.arange(len(key)), count)
            other = self._order[rows_of_runs(begin, count)]
            off_nm = np.abs(self._place_nm[other] - place_nm[one])
            near = (off_nm <= self._reach_nm).all(axis=1) & (self._kind[other] == kind[one])
            near &= (self._place_nm[other] // self._reach_nm == cell[one] + np.array(step)).all(axis=1)
            found.append(Matched(one[near], other[near]))
        return Matched(*(np.concatenate(column) for column in zip(*found, strict=True)))


def _keys(cell: IntArray, kind: IntArray) -> HashArray:
    columns = zip((kind, cell[:, 0], cell[:, 1]), _KEYS, strict=True)
    mixed = [column.astype(np.uint64) * odd for column, odd in columns]
    key: HashArray = mixed[0] + mixed[1] + mixed[2]
    return key


def comes_first(place_nm: IntArray, size_nm: IntArray) -> tuple[int, bytes, bytes]:
    """
    A key that puts two layers in an order that has nothing to do with which is old, or where its origin lies.

    What is found from the first to the second, and turned round for the other way, is the same from both.
    """
    low_nm = place_nm.min(axis=0) if len(place_nm) else place_nm
    return len(place_nm), (place_nm - low_nm).tobytes(), size_nm.tobytes()


def one_to_one(pairs: Matched, cost: FloatArray) -> Matched:
    """
    Of pairs those that leave each thing at most one partner: cheapest first. Sorted by the one.

    Args:
        pairs: Each at most once.
        cost: Of each pair. Shape (k,).
    """
    order = np.lexsort((pairs.other, pairs.one, cost))
    one, other = pairs.one[order], pairs.other[order]
    chosen = [NOTHING]
    for _ in range(_MOST_ROUNDS):
        if not len(one):
            break
        rows = np.arange(len(one))
        # a pair that is the cheapest of both its things is taken, whatever becomes of the others
        is_taken = (_first_of(one) == rows) & (_first_of(other) == rows)
        chosen.append(Matched(one[is_taken], other[is_taken]))
        is_left = ~(among(one, one[is_taken]) | among(other, other[is_taken]))
        one, other = one[is_left], other[is_left]
    one, other = (np.concatenate(column) for column in zip(*chosen, strict=True))
    by_one = np.argsort(one, kind="stable")
    return Matched(one[by_one], other[by_one])


def _first_of(thing: IntArray) -> IntArray:
    """For each row the first row of the same thing."""
    _, first, inverse = np.unique(thing, return_index=True, return_inverse=True)
    return first[inverse]
