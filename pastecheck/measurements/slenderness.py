"""How slender webs are, and which way the squeegee bends them least."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.alongside import NEAR_GAPS
from pastecheck.geometry.bends import longest_facets_mm
from pastecheck.geometry.pairs import Apart, directions_apart
from pastecheck.geometry.web_lengths import web_lengths
from pastecheck.measurements.webs import WebFinder
from pastecheck.openings import Openings, Shapes

SLENDER_TO_MM: Final = 0.5
"""Wider webs bend too little to be slender, however long (`common practice, no source`)."""
TOUCHING_MM: Final = 1e-6
"""Openings that are no farther apart touch: there is no web between them."""

BENDS: Final = 3.0
"""Webs less slender than this bend too little to mind the squeegee (`common practice, no source`)."""
MOST: Final = 25.0
"""Webs more slender than this count as if they were so slender: one sliver must not decide for a board."""
ONE_WAY: Final = 0.3
"""Where the webs' directions leave less than this share when they are added up, no direction prevails."""

_ROUNDING: Final = 1e-9


class SlenderWebs(NamedTuple):
    """Webs, and their length over their width. Shape (k,), sorted by first, then second."""

    first: IntArray
    second: IntArray
    gap_mm: FloatArray
    length_mm: FloatArray
    slenderness: FloatArray
    """NaN where openings touch."""
    error: FloatArray

    def rows(self, rows: IntArray) -> "SlenderWebs":
        """Some of the webs."""
        first, second, *others = self
        return SlenderWebs(first[rows], second[rows], *(column[rows] for column in others))


class Stroke(NamedTuple):
    """The way for the squeegee."""

    direction_rad: float
    """Counter-clockwise from the x axis, in [0, pi): a stroke there and back is one way."""
    webs: int
    """How many webs it minds."""
    prevails: bool
    """Whether the webs have a common direction; else the stroke is askew to all of them."""


class SlenderFinder:
    """Measures how slender the webs of a layer are, as far as it is asked; what was measured once is kept."""

    def __init__(self, openings: Openings, finder: WebFinder) -> None:
        """Measure the webs between openings that a finder finds."""
        self._openings = openings
        self._finder = finder
        self._webs: tuple[float, SlenderWebs] | None = None

    def within(self, reach_mm: float) -> SlenderWebs:
        """Length over width of webs not wider than a reach, once for each distinct pair of shapes."""
        if self._webs is None or self._webs[0] < reach_mm:
            self._webs = reach_mm, self._measured(reach_mm)
        webs = self._webs[1]
        near = webs.gap_mm <= reach_mm + _ROUNDING
        return webs if near.all() else webs.rows(np.flatnonzero(near))

    def _measured(self, reach_mm: float) -> SlenderWebs:
        webs, kind, apart = self._finder.kinds_within(reach_mm + _ROUNDING)  # one at the reach is within it
        row = np.full(len(apart.one), -1)
        row[kind] = np.arange(len(kind))
        used = np.flatnonzero(row >= 0)
        gap_mm, error_mm = webs.gap_mm[row[used]], webs.error_mm[row[used]]
        # nearer than what the outlines can be off, there may be no web at all
        there = (gap_mm > TOUCHING_MM) & (gap_mm > 2 * error_mm)
        length_mm, error = np.full(len(row), np.nan), np.full(len(row), np.nan)
        length_mm[used[there]], error[used[there]] = _lengths(
            self._openings.shapes, apart.rows(used[there]), gap_mm[there], error_mm[there]
        )
        length_mm, error = length_mm[kind], error[kind]
        with np.errstate(divide="ignore", invalid="ignore"):
            slenderness = length_mm / webs.gap_mm
        return SlenderWebs(webs.first, webs.second, webs.gap_mm, length_mm, slenderness, error)

    def stroke(self, reach_mm: float = SLENDER_TO_MM) -> Stroke | None:
        """
        The direction along the slender webs; None where there is none to mind.

        A web is a beam held at both ends: what it gives way sideways, over its width, grows with the fourth
        power of its slenderness s. So Z = sum of s^4 exp(2 i w) over webs with s of 3 and more, w the
        direction of the web, and the stroke goes along half its argument. Where the absolute value of Z is
        less than 0.3 of the sum of s^4, as about a part with four equal sides, it goes askew: at 45 degrees.

        Source: derived; the three figures are common practice, no source.
        """
        webs = self.within(reach_mm)
        kinds = self._finder.kinds_within(reach_mm + _ROUNDING)
        with np.errstate(invalid="ignore"):
            rows = np.flatnonzero(webs.slenderness >= BENDS - _ROUNDING)
        if not len(rows):
            return None
        used, first, kind = np.unique(kinds.kind[rows], return_index=True, return_inverse=True)
        shapes, gap_mm = self._openings.shapes, webs.gap_mm[rows[first]]
        across_rad = directions_apart(shapes.core, shapes.radius_mm, kinds.apart.rows(used), gap_mm)
        weight = np.minimum(webs.slenderness[rows], MOST) ** 4
        total = np.sum(weight * np.exp(2j * (across_rad[kind] + np.pi / 2)))
        prevails = bool(np.abs(total) >= ONE_WAY * weight.sum())
        direction_rad = float(np.mod(np.angle(total) / 2, np.pi)) if prevails else np.pi / 4
        return Stroke(direction_rad if direction_rad < np.pi else 0.0, len(rows), prevails)


def _lengths(
    shapes: Shapes, apart: Apart, gap_mm: FloatArray, off_mm: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Length of webs, and how far length over width can be off: what is near enough goes with the width."""
    near_mm, away_mm = NEAR_GAPS * gap_mm, (1 + NEAR_GAPS) * off_mm
    rows = np.flatnonzero(off_mm > 0)
    surely = np.flatnonzero(near_mm[rows] - away_mm[rows] > gap_mm[rows])
    # all at once, so that outlines are taken to pieces once
    all_rows = np.concatenate([np.arange(len(gap_mm)), rows[surely], rows])
    reach_mm = np.concatenate([near_mm, (near_mm - away_mm)[rows[surely]], (near_mm + away_mm)[rows]])
    all_mm = web_lengths(shapes.core, shapes.radius_mm, apart.rows(all_rows), reach_mm)
    length_mm, of_sure_mm, longest = np.split(all_mm, [len(gap_mm), len(gap_mm) + len(surely)])
    shortest = np.zeros(len(rows))
    shortest[surely] = of_sure_mm
    error = _ROUNDING * (1 + length_mm / gap_mm)
    gap_mm, off_mm, apart = gap_mm[rows], off_mm[rows], apart.rows(rows)
    facets_mm = _facets_mm(shapes, apart)
    low = np.maximum(shortest - facets_mm, 0.0) / (gap_mm + off_mm)
    high = (longest + facets_mm) / (gap_mm - off_mm)
    slenderness = length_mm[rows] / gap_mm
    error[rows] += np.maximum(slenderness - low, high - slenderness)
    return length_mm, error


def _facets_mm(shapes: Shapes, apart: Apart) -> FloatArray:
    """The longest facet of a flattened arc in both outlines: either end of a web is off by half of one."""
    used, where = np.unique(np.concatenate([apart.one, apart.other]), return_inverse=True)
    flattened = np.flatnonzero(shapes.tolerance_mm[used] > 0)
    facet_mm = np.zeros(len(used))
    facet_mm[flattened] = longest_facets_mm(shapes.core[used[flattened]])
    one, other = facet_mm[where].reshape(2, -1)
    both_mm: FloatArray = one + other
    return both_mm
