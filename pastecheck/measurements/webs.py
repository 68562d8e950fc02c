"""Webs: pairs of openings with nothing but foil between them."""

from typing import NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import TooManyPairsError, close_boxes
from pastecheck.geometry.pairs import Apart, gaps_apart, placed, places_apart
from pastecheck.openings import Openings
from pastecheck.ragged import Distinct, distinct_rows, offsets, rows_of_runs, within_runs
from pastecheck.units import NM_PER_MM

_ON_LINE_MM = 1e-6
"""Equal slots in a row: the line runs along the ends of those between, but for rounding."""

USUAL_REACH_MM = 0.501
"""Slender webs are looked for so far, a hair beyond 0.5 mm."""

_WEBS_AT_ONCE = 200_000
_BOXES_NEAR = 4
"""For each neighbour that two openings have in common, so many boxes may be near both."""
_LOOKS_A_PAIR = 4
"""To look at so many neighbours takes as long as to measure a pair."""


class Webs(NamedTuple):
    """Pairs of openings with nothing but foil between them. Shape (k,), sorted by first, then second."""

    first: IntArray
    second: IntArray
    gap_mm: FloatArray
    error_mm: FloatArray

    def rows(self, kept: BoolArray) -> "Webs":
        """The webs of the rows that are kept."""
        return Webs(self.first[kept], self.second[kept], self.gap_mm[kept], self.error_mm[kept])


class _Pairs(NamedTuple):
    """Distinct pairs of shapes at a distance."""

    apart: Apart
    swapped: BoolArray
    """For each pair of openings (not each distinct one): whether `one` is the second opening. Shape (k,)."""
    kinds: Distinct


class KindsOfWebs(NamedTuple):
    """Webs, and the distinct pairs of shapes at a distance that they are."""

    webs: Webs
    kind: IntArray
    """Row of `apart`, for each web. Shape (k,)."""
    apart: Apart

    def rows(self, kept: BoolArray) -> "KindsOfWebs":
        """The webs of the rows that are kept."""
        return KindsOfWebs(self.webs.rows(kept), self.kind[kept], self.apart)


class WebFinder:
    """Finds the webs of a layer, as far as it is asked to look; what was found once is kept."""

    def __init__(self, openings: Openings, bounds_nm: IntArray, most_pairs: int) -> None:
        """Look among openings with boxes of shape (n, 4), at no more pairs than said."""
        self.openings = openings
        self.bounds_nm = bounds_nm
        self._most_pairs = most_pairs
        self._kinds: KindsOfWebs | None = None
        self._reach_mm = 0.0

    def within(self, reach_mm: float) -> Webs:
        """As `Measurements.webs_within`."""
        return self.kinds_within(reach_mm).webs

    def kinds_within(self, reach_mm: float) -> KindsOfWebs:
        """Webs not wider than a reach, and what distinct pairs they are; raises as `within`."""
        if not (0 <= reach_mm < np.inf):
            raise ValueError(f"reach_mm must be a length, got {reach_mm}")
        if self._kinds is None or self._reach_mm < reach_mm:
            self._kinds, self._reach_mm = self._looked_for(reach_mm)
        near = self._kinds.webs.gap_mm <= reach_mm
        return self._kinds if near.all() else self._kinds.rows(near)

    def _looked_for(self, reach_mm: float) -> tuple[KindsOfWebs, float]:
        """Webs as far as most ask, unless there are too many: to look once is quicker than to look twice."""
        if reach_mm < USUAL_REACH_MM:
            try:
                return self._found(USUAL_REACH_MM), USUAL_REACH_MM
            except TooMuchError:
                pass
        return self._found(reach_mm), reach_mm

    def _found(self, reach_mm: float) -> KindsOfWebs:
        try:
            first, second = close_boxes(self.bounds_nm, int(np.ceil(reach_mm * NM_PER_MM)), self._most_pairs)
        except TooManyPairsError as found:
            what = f"up to {found.bound} pairs of openings lie within {reach_mm:g} mm of each other"
            raise TooMuchError(f"{what}; at most {self._most_pairs} are", "neighbours", found.bound) from None
        degree = np.bincount(np.concatenate([first, second]), minlength=len(self.openings))
        # boxes are near far more often than what is in them
        self._refuse_many(int(np.minimum(degree[first], degree[second]).sum()) // _BOXES_NEAR)
        pairs = self._distinct_pairs(first, second)
        shapes = self.openings.shapes
        one, other = pairs.apart.one, pairs.apart.other
        gap_mm = np.maximum(gaps_apart(shapes.core, shapes.radius_mm, pairs.apart, reach_mm), 0.0)
        error_mm = shapes.tolerance_mm[one] + shapes.tolerance_mm[other]
        near = np.flatnonzero((gap_mm <= reach_mm)[pairs.kinds.inverse])
        kind = pairs.kinds.inverse[near]
        webs = Webs(first[near], second[near], gap_mm[kind], error_mm[kind])
        kinds = KindsOfWebs(webs, kind, pairs.apart)
        crossed = self._crossed(webs)
        return kinds.rows(~crossed) if crossed.any() else kinds

    def places_mm(self, first: IntArray, second: IntArray) -> FloatArray:
        """Middle of the narrowest place of each web. Shape (k, 2)."""
        pairs = self._distinct_pairs(first, second)
        shapes = self.openings.shapes
        reach_mm = self._reach_mm if self._kinds else float(np.ptp(self.bounds_nm)) / NM_PER_MM
        gap_mm = gaps_apart(shapes.core, shapes.radius_mm, pairs.apart, reach_mm)
        about_one = places_apart(shapes.core, shapes.radius_mm, pairs.apart, gap_mm)
        origin = np.where(pairs.swapped, second, first)
        place = np.column_stack([self.openings.x_nm[origin], self.openings.y_nm[origin]]) / NM_PER_MM
        return place + about_one[pairs.kinds.inverse]

    def _distinct_pairs(self, first: IntArray, second: IntArray) -> _Pairs:
        """Pairs by their shapes and relative place; a pair and the same pair turned about are one kind."""
        shape, x_nm, y_nm = self.openings.shape, self.openings.x_nm, self.openings.y_nm
        dx, dy = x_nm[second] - x_nm[first], y_nm[second] - y_nm[first]
        backward = (dy < 0) | ((dy == 0) & (dx < 0))
        swapped = (shape[first] > shape[second]) | ((shape[first] == shape[second]) & backward)
        sign = np.where(swapped, -1, 1)
        one = np.where(swapped, shape[second], shape[first])
        other = np.where(swapped, shape[first], shape[second])
        kinds = distinct_rows(np.column_stack([one, other, sign * dx, sign * dy]))
        row = kinds.first
        way_mm = (sign * dx)[row] / NM_PER_MM, (sign * dy)[row] / NM_PER_MM
        return _Pairs(Apart(one[row], other[row], *way_mm), swapped, kinds)

    def _crossed(self, webs: Webs) -> BoolArray:
        """
        Whether a third opening lies on the shortest line of a web, if only along its side. Shape (k,).

        The third one is then nearer to both than they are to each other: it is a neighbour of both, and its
        webs, each of them narrower, stay.
        """
        web, third = self._common_neighbours(webs)
        crossed = np.zeros(len(webs.first), bool)
        nth = within_runs(np.bincount(web, minlength=len(webs.first)))
        radius_mm = self.openings.shapes.radius_mm
        # one neighbour of each web at a time: where many are near, most webs are crossed by the first
        for turn in range(int(nth.max(initial=-1)) + 1):
            at = np.flatnonzero((nth == turn) & ~crossed[web])
            for some in np.split(at, range(_WEBS_AT_ONCE, len(at), _WEBS_AT_ONCE)):
                first, second = webs.first[web[some]], webs.second[web[some]]
                line = shapely.shortest_line(self._cores(first), self._cores(second))
                reach_mm = radius_mm[self.openings.shape[third[some]]] + _ON_LINE_MM
                crossed[web[some]] = shapely.distance(line, self._cores(third[some])) <= reach_mm
        return crossed

    def _common_neighbours(self, webs: Webs) -> tuple[IntArray, IntArray]:
        """
        Webs, and openings that lie closer to both sides of it, together not farther than its width: sorted.

        One that touches a side lies no closer to the other than that side: each could hide the other's web.
        """
        n = len(self.openings)
        known = np.concatenate([webs.first * n + webs.second, webs.second * n + webs.first])
        order = np.argsort(known)
        known = known[order]
        to = np.concatenate([webs.second, webs.first])[order]
        gap_mm = np.concatenate([webs.gap_mm, webs.gap_mm])[order]
        degree = np.bincount(to, minlength=n)
        begin = offsets(degree)[:-1]
        # the side with fewer neighbours: a frame may have a million
        fewer = np.where(degree[webs.first] <= degree[webs.second], webs.first, webs.second)
        self._refuse_many(int(degree[fewer].sum()))
        more = np.where(fewer == webs.first, webs.second, webs.first)
        webs_found, thirds, ways_mm = [fewer[:0]], [fewer[:0]], [np.zeros(0)]
        step = np.cumsum(degree[fewer]) // _WEBS_AT_ONCE
        for some in np.split(np.arange(len(fewer)), np.flatnonzero(np.diff(step)) + 1):
            web = np.repeat(some, degree[fewer[some]])
            neighbour = rows_of_runs(begin[fewer[some]], degree[fewer[some]])
            near_gap_mm = gap_mm[neighbour]
            nearer = np.flatnonzero((near_gap_mm <= webs.gap_mm[web]) & (near_gap_mm > _ON_LINE_MM))
            web, third, near_gap_mm = web[nearer], to[neighbour[nearer]], near_gap_mm[nearer]
            wanted = third * n + more[web]
            at = np.minimum(np.searchsorted(known, wanted), len(known) - 1)
            around_mm = near_gap_mm + gap_mm[at]
            found = (known[at] == wanted) & (around_mm <= webs.gap_mm[web])
            found &= gap_mm[at] > _ON_LINE_MM
            webs_found.append(web[found])
            thirds.append(third[found])
            ways_mm.append(around_mm[found])
        web, third = np.concatenate(webs_found), np.concatenate(thirds)
        order = np.lexsort((np.concatenate(ways_mm), web))
        return web[order], third[order]

    def _refuse_many(self, count: int) -> None:
        """Refuse more neighbours of pairs of openings than are looked at."""
        as_pairs = -(-count // _LOOKS_A_PAIR)
        if as_pairs > self._most_pairs:
            what = f"openings lie so close together that {count} neighbours of webs have to be looked at"
            most = _LOOKS_A_PAIR * self._most_pairs
            raise TooMuchError(f"{what}; at most {most} are", "neighbours", as_pairs)

    def _cores(self, rows: IntArray) -> "np.ndarray[tuple[int, ...], np.dtype[np.object_]]":
        """Cores of openings where they are. Shape (k,)."""
        openings = self.openings
        core = openings.shapes.core[openings.shape[rows]]
        return placed(core, openings.x_nm[rows] / NM_PER_MM, openings.y_nm[rows] / NM_PER_MM)
