"""
Where the cutter begins each opening, and how far it goes on beyond that.

It begins in the middle of an edge, away from the corners, and of all edges of the outline on the one whose
middle lies farthest from any other opening: so never on a wall that faces the nearest web, unless there is no
other. Where it goes on beyond its start it goes along the same edge, so it never leaves the wall.
"""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.cuts.rings import Rings
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.pairs import Apart, gaps_apart
from pastecheck.measurements import Measurements, Webs
from pastecheck.openings import GeometryArray
from pastecheck.ragged import distinct_rows, offsets, rows_of_runs, within_runs
from pastecheck.units import NM_PER_MM

WEBS_TO_MM: Final = 1.0
"""What is farther away is no web."""

_WIDE_RAD: Final = np.radians(100)
"""An arc that turns less is a corner, where there are straight edges."""
_SHORT_MM: Final = 0.1
"""On a shorter edge, or one of less than half the longest, the start would be beside a corner."""
_MOST_EDGES: Final = 16
"""That are looked at of an outline, the longest."""
_UM_PER_MM: Final = 1000
_NEARER_UM: Final = 1e-6
_SHARE_OF_WEB: Final = 4
"""Of the web beside it a cut takes less than one part in so many (common practice, no source)."""


class Starts(NamedTuple):
    """For each opening: the edge of its outer ring that it begins on, and its overcut. Shape (n,) each."""

    edge: IntArray
    """Row of `Rings`."""
    overcut_um: IntArray
    """Whole micrometres."""


class _Edges(NamedTuple):
    """Edges that outlines may begin on, for each shape one behind the other, the best first."""

    row: IntArray
    shape: IntArray
    """Of each edge."""
    offset: IntArray
    """Shape s has the edges offset[s] to offset[s + 1]."""


class _Webs(NamedTuple):
    """Webs, each seen from both its sides. Shape (k,)."""

    opening: IntArray
    other: IntArray
    gap_mm: FloatArray


def starts_of(m: Measurements, rings: Rings, overcut_mm: float) -> Starts:
    """
    Where each opening begins.

    Args:
        m: The layer.
        rings: Of its distinct shapes.
        overcut_mm: How far it goes on beyond that; always less than a quarter of the nearest web, and at most
            half its edge.
    """
    webs = _webs(m)
    both = _Webs(
        np.concatenate([webs.first, webs.second]),
        np.concatenate([webs.second, webs.first]),
        np.concatenate([webs.gap_mm, webs.gap_mm]),
    )
    length_mm = rings.length_mm
    edges = _edges(rings, length_mm, rings.shape[:-1])
    chosen = _farthest(m, edges, _clearances(m, rings, edges, both))
    nearest_mm = np.full(len(m.openings), np.inf)
    np.minimum.at(nearest_mm, both.opening, both.gap_mm)
    return Starts(chosen, overcuts_um(length_mm[chosen], nearest_mm, overcut_mm))


def _webs(m: Measurements) -> Webs:
    """Webs as far as they are looked at; where openings lie too close together for that, half as far."""
    try:
        return m.webs_within(WEBS_TO_MM)
    except TooMuchError:
        return m.webs_within(WEBS_TO_MM / 2)


def overcuts_um(edge_mm: FloatArray, web_mm: FloatArray, overcut_mm: float) -> IntArray:
    """What is asked for, at most half the edge, and less than a quarter of the web. Shape (k,)."""
    of_web = np.ceil(np.minimum(web_mm, 1.0) * _UM_PER_MM / _SHARE_OF_WEB - _NEARER_UM) - 1
    of_edge = np.floor(edge_mm / 2 * _UM_PER_MM)
    asked = round(overcut_mm * _UM_PER_MM)
    found: IntArray = np.clip(np.minimum(of_web, of_edge), 0, asked).astype(np.int64)
    return found


def first_edges(rings: Rings, ring: IntArray) -> IntArray:
    """The edge that each of some rings begins on where no web matters: its longest. Shape (k,)."""
    edges = _edges(rings, rings.length_mm, ring)
    return edges.row[edges.offset[:-1]]


def last_edges(rings: Rings, ring: IntArray) -> IntArray:
    """The shortest edge of each of some rings that is long enough to begin on. Shape (k,)."""
    edges = _edges(rings, rings.length_mm, ring)
    return edges.row[edges.offset[1:] - 1]


def _edges(rings: Rings, length_mm: FloatArray, ring: IntArray) -> _Edges:
    """Edges of rings long enough to begin on, the longest first, no more than some of each."""
    count = np.diff(rings.ring)[ring]
    row, of = rows_of_runs(rings.ring[ring], count), np.repeat(np.arange(len(ring)), count)
    is_fit = _are_fit(rings, row, of)
    longest_mm = np.zeros(len(ring))
    np.maximum.at(longest_mm, of[is_fit], length_mm[row[is_fit]])
    least_mm = np.minimum(_SHORT_MM, longest_mm / 2)
    is_fit &= length_mm[row] >= least_mm[of] - 1 / NM_PER_MM
    row, of = row[is_fit], of[is_fit]
    length_nm = np.rint(length_mm[row] * NM_PER_MM).astype(np.int64)  # equal edges stay in order
    order = np.lexsort((row, -length_nm, of))
    row, of = row[order], of[order]
    few = within_runs(np.bincount(of, minlength=len(ring))) < _MOST_EDGES
    return _Edges(row[few], of[few], offsets(np.bincount(of[few], minlength=len(ring))))


def _are_fit(rings: Rings, row: IntArray, of: IntArray) -> BoolArray:
    """Straight edges and wide arcs; all edges of a ring that has none of them. Shape of `row`."""
    is_side = (rings.turn == 0)[row] | (rings.sweep_rad >= _WIDE_RAD)[row]
    has_sides = np.zeros(int(of.max(initial=-1)) + 1, bool)
    has_sides[of[is_side]] = True
    fit: BoolArray = is_side | ~has_sides[of]
    return fit


def _clearances(m: Measurements, rings: Rings, edges: _Edges, webs: _Webs) -> FloatArray:
    """
    How far the middle of each edge of each opening is from any other; no more than is called a web.

    The edges of an opening stand one behind the other, as those of its shape.
    """
    openings = m.openings
    count = np.diff(edges.offset)
    at = offsets(count[openings.shape])
    clear_mm = np.full(at[-1], WEBS_TO_MM)
    way_nm = np.column_stack(
        [column[webs.other] - column[webs.opening] for column in (openings.x_nm, openings.y_nm)]
    )
    one, other = openings.shape[webs.opening], openings.shape[webs.other]
    kinds = distinct_rows(np.column_stack([one, other, way_nm]))
    first = kinds.first
    of_kind = count[one[first]]
    edge, kind = rows_of_runs(edges.offset[one[first]], of_kind), np.repeat(np.arange(len(first)), of_kind)
    apart = Apart(edge, len(edges.row) + other[first][kind], *(way_nm[first][kind] / NM_PER_MM).T)
    middle = rings.at(edges.row, np.full(len(edges.row), 0.5))
    table: GeometryArray = np.concatenate([shapely.points(middle), openings.shapes.core])
    radius_mm = np.concatenate([np.zeros(len(middle)), openings.shapes.radius_mm])
    gap_mm = gaps_apart(table, radius_mm, apart, WEBS_TO_MM)
    of_web = count[one]
    np.minimum.at(
        clear_mm,
        rows_of_runs(at[webs.opening], of_web),
        gap_mm[rows_of_runs(offsets(of_kind)[kinds.inverse], of_web)],
    )
    return clear_mm


def _farthest(m: Measurements, edges: _Edges, clear_mm: FloatArray) -> IntArray:
    """The edge of each opening that is farthest from others, to the micrometre; of equal ones the first."""
    count = np.diff(edges.offset)[m.openings.shape]
    at = offsets(count)
    clear_um = np.rint(clear_mm * _UM_PER_MM).astype(np.int64)
    nth = within_runs(count)
    # one number holds both: the clearance, and behind it the place among the edges
    best = np.maximum.reduceat(clear_um * _MOST_EDGES + (_MOST_EDGES - 1 - nth), at[:-1])
    nth_best = _MOST_EDGES - 1 - best % _MOST_EDGES
    found: IntArray = edges.row[edges.offset[m.openings.shape] + nth_best]
    return found
