"""Places sorted into lanes, along which one may look from each, step by step."""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray

_LOOKS_AT_ONCE: Final = 16_384
"""So few that what is computed of them stays in the processor's cache."""


class Looking(NamedTuple):
    """Places from which something is looked at in a lane. Shape (k,) each."""

    at: IntArray
    """Where each place stands in the lanes."""
    middle: FloatArray
    """The key in that lane that is as far along as the place."""
    near: IntArray
    """Where what is looked at stands."""
    way: IntArray
    """1 if what is farther along comes next, else -1."""

    def rows(self, kept: BoolArray) -> "Looking":
        """Some of them."""
        return Looking(self.at[kept], self.middle[kept], self.near[kept], self.way[kept])


class Lanes:
    """Places sorted into strips and, within, along them; before the first and behind the last stands none."""

    def __init__(self, along: FloatArray, across: FloatArray, reach: float, strip: float) -> None:
        """
        Sort places so that what is near to one stands in its own lane or in the nearer of those beside it.

        Args:
            along: Shape (n,), not empty.
            across: Shape (n,).
            reach: How far along something is near.
            strip: How far across.
        """
        lanes = across / (2 * strip)
        lane = np.floor(lanes)
        self._span = float(np.ptp(along)) + 3 * reach
        key = (lane - lane.min()) * self._span + (along - along.min())
        order = np.argsort(key)
        beside = np.where(lanes - lane < 0.5, -self._span, self._span)
        self._beside = np.concatenate([[0.0], beside[order], [0.0]])
        """From the key of each place to that of the lane beside it that is the nearer."""
        self.row = np.concatenate([[-1], order, [-1]])
        """What stands where: rows of the places. Shape (n + 2,)."""
        self._key = np.concatenate([[-np.inf], key[order], [np.inf]])
        self.reach = reach + 4 * float(np.spacing(self._key[-2] + self._span))
        """A little farther than asked for, by what keys may be off."""

    def looks(self, rows: IntArray) -> Iterator[Looking]:
        """Look from some places, a part of them at a time, at what comes next either way in each lane."""
        wanted = np.zeros(len(self.row) - 2, bool)
        wanted[rows] = True
        at = 1 + np.flatnonzero(wanted[self.row[1:-1]])
        for first in range(0, len(at), _LOOKS_AT_ONCE):
            yield self._nexts(at[first : first + _LOOKS_AT_ONCE])

    def next(self, looking: Looking, within: FloatArray | float) -> Looking:
        """The next ones, as far as these lie within some distance along, and within reach."""
        near = looking.near + looking.way
        away = np.abs(self._key[near] - looking.middle)
        return looking._replace(near=near).rows(away <= np.minimum(within, self.reach))

    def _nexts(self, at: IntArray) -> Looking:
        """What comes next either way in the lane of each place, and in the nearer of those beside it."""
        here = self._key[at]
        beside = here + self._beside[at]
        there = np.searchsorted(self._key, beside)
        looking = []
        for middle, near, way in (
            (here, at + 1, 1),
            (here, at - 1, -1),
            (beside, there, 1),
            (beside, there - 1, -1),
        ):
            rows = np.flatnonzero(np.abs(self._key[near] - middle) <= self.reach)
            looking.append(Looking(at[rows], middle[rows], near[rows], np.full(len(rows), way)))
        return Looking(*map(np.concatenate, zip(*looking, strict=True)))
