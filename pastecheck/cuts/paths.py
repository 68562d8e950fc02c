"""Rings as path data of SVG (2, 9.3: from memory): relative, in millimetres, y pointing down."""

from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.cuts.rings import Rings
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import within_runs
from pastecheck.units import NM_PER_MM

_MOST_SWEEP_RAD: Final = np.radians(100)
"""Wider arcs are cut in two or more: near half a turn a rounded end would move the middle far."""
_MIDDLE: Final = 0.5
_UM_PER_MM: Final = 1000
_ROUNDING: Final = 1e-9

TextArray = NDArray[np.object_]


class Cuts(NamedTuple):
    """Rings to be cut one after the other. Shape (u,) each."""

    ring: IntArray
    edge: IntArray
    """That it begins on, in its middle: a row of the rings."""
    overcut_um: IntArray
    """How far it goes on along that edge when it has come back to its start."""


class Paths(NamedTuple):
    """Path data of things, from where each begins. Shape (p,) each."""

    begin_nm: IntArray
    """Where, about the thing's origin; y points up. Shape (p, 2)."""
    data: TextArray
    """What follows the first place: texts."""


class _Pieces(NamedTuple):
    """Ends of straight and circular pieces, in order. Shape (k,) each."""

    cut: IntArray
    """Row of `Cuts`."""
    end_nm: IntArray
    """Shape (k, 2)."""
    edge: IntArray
    is_arc: BoolArray
    closes: BoolArray
    """Whether it comes back to the start."""


def paths_of(rings: Rings, cuts: Cuts, thing: IntArray, scale: FloatArray) -> Paths:
    """
    Path data of things of one ring or more.

    A ring without an overcut is closed by `z`. One with an overcut comes back to its start, and goes on.

    Args:
        rings: As they lie on the page, y pointing up.
        cuts: The rings of things, those of a thing behind one another, in cutting order.
        thing: Thing of each cut, sorted, from 0 without a gap.
        scale: What lengths in x and in y are multiplied by. Shape (2,).
    """
    begin_nm = _scaled_nm(rings.at(cuts.edge, np.full(len(cuts.edge), _MIDDLE)), scale)
    pieces = _pieces(rings, cuts, scale, begin_nm)
    first = np.flatnonzero(np.diff(pieces.cut, prepend=-1))
    way_nm = pieces.end_nm - _before(pieces.end_nm, pieces.cut, begin_nm)
    text = _texts(rings, pieces, way_nm, scale, cuts)
    bodies = _joined(text, np.append(first, len(text)))
    # of several rings each but the first begins so far from where the one before it ended
    last = np.append(first[1:], len(text)) - 1
    ended_nm = np.where((cuts.overcut_um > 0)[:, None], pieces.end_nm[last], begin_nm)
    again = np.flatnonzero(np.diff(thing, prepend=-1) == 0)
    move = mm_texts((begin_nm[again] - ended_nm[again - 1]) * np.array([1, -1]))
    bodies[again] = [
        f"m{x},{y}{body}" for (x, y), body in zip(move.tolist(), bodies[again].tolist(), strict=True)
    ]
    of_thing = np.flatnonzero(np.diff(thing, prepend=-1))
    return Paths(begin_nm[of_thing], _joined(bodies, np.append(of_thing, len(bodies))))


class _Walk(NamedTuple):
    """Stretches of edges, as cuts go along them. Shape (k,) each."""

    cut: IntArray
    edge: IntArray
    begin: FloatArray
    """Share of the edge's length."""
    end: FloatArray
    closes: BoolArray
    goes_on: BoolArray
    """Whether it is of one arc with the stretch before it."""


def _walked(rings: Rings, cuts: Cuts, scale: FloatArray) -> _Walk:
    """From the middle of the first edge along all others, back to it, and beyond."""
    edges, base = np.diff(rings.ring)[cuts.ring], rings.ring[cuts.ring]
    count = edges + 1 + (cuts.overcut_um > 0)
    cut, nth = np.repeat(np.arange(len(count)), count), within_runs(count)
    closes, is_over = nth == edges[cut], nth > edges[cut]
    edge = np.where(is_over, cuts.edge[cut], base[cut] + ((cuts.edge - base)[cut] + nth) % edges[cut])
    # an overcut is as long as it is said to be when it is cut, not before it is scaled
    over = cuts.overcut_um / _UM_PER_MM / scale.max() / rings.length_mm[cuts.edge]
    begin = np.where((nth == 0) | is_over, _MIDDLE, 0.0)
    end = np.where(closes, _MIDDLE, np.where(is_over, _MIDDLE + over[cut], 1.0))
    goes_on = (nth > 0) & ~is_over & (rings.turn[edge] != 0)
    goes_on[1:] &= (rings.centre_mm[edge[1:]] == rings.centre_mm[edge[:-1]]).all(axis=1)
    return _Walk(cut, edge, begin, end, closes, goes_on)


def _pieces(rings: Rings, cuts: Cuts, scale: FloatArray, begin_nm: IntArray) -> _Pieces:
    """
    Straight and circular pieces that can be written, without those shorter than a nanometre.

    Arcs about one centre that follow one another are one: so a disc is cut in quarters from its start.
    """
    walk, sweep_rad = _walked(rings, cuts, scale), rings.sweep_rad
    first = np.flatnonzero(~walk.goes_on)
    last = np.append(first[1:], len(walk.cut)) - 1
    whole_rad = np.add.reduceat(sweep_rad[walk.edge] * (walk.end - walk.begin), first)
    parts = np.maximum(np.ceil(whole_rad / _MOST_SWEEP_RAD - _ROUNDING), 1).astype(np.int64)
    # what an arc has beyond its edge is told in shares of that, too
    edge_rad = sweep_rad[walk.edge[first]]
    span = whole_rad / np.where(edge_rad > 0, edge_rad, 1.0)
    part, row = within_runs(parts), np.repeat(np.arange(len(parts)), parts)
    ends = part + 1 == parts[row]
    share = walk.begin[first[row]] + span[row] * (part + 1) / parts[row]
    edge = np.where(ends, walk.edge[last[row]], walk.edge[first[row]])
    end_nm = _scaled_nm(rings.at(edge, np.where(ends, walk.end[last[row]], share)), scale)
    cut, closes = walk.cut[first[row]], walk.closes[last[row]] & ends
    end_nm[closes] = begin_nm[cut[closes]]
    moves = (end_nm != _before(end_nm, cut, begin_nm)).any(axis=1)
    kept = moves | closes
    is_arc = (rings.turn[edge] != 0) & moves
    return _Pieces(cut[kept], end_nm[kept], edge[kept], is_arc[kept], closes[kept])


def _before(end_nm: IntArray, cut: IntArray, begin_nm: IntArray) -> IntArray:
    """Where pieces begin that end there. Shape (k, 2)."""
    before_nm = np.concatenate([end_nm[:1], end_nm[:-1]])
    first = np.flatnonzero(np.diff(cut, prepend=-1))
    before_nm[first] = begin_nm[cut[first]]
    return before_nm


def _texts(rings: Rings, pieces: _Pieces, way_nm: IntArray, scale: FloatArray, cuts: Cuts) -> TextArray:
    """Each piece as a command."""
    way = mm_texts(way_nm * np.array([1, -1]))
    text = np.empty(len(way), object)
    is_arc, edge = pieces.is_arc, pieces.edge
    text[~is_arc] = [f"l{x},{y}" for x, y in way[~is_arc].tolist()]
    radius_mm = np.hypot(*(rings.corner_mm - rings.centre_mm)[edge[is_arc]].T)
    radii = mm_texts(np.rint(radius_mm[:, None] * scale * NM_PER_MM).astype(np.int64))
    # what turns to the left where y points up turns to the left on the page too: by angles that grow less
    flags = np.where(rings.turn[edge[is_arc]] > 0, "0", "1")
    columns = (way[is_arc].tolist(), radii.tolist(), flags.tolist())
    text[is_arc] = [f"a{rx},{ry} 0 0 {flag} {x},{y}" for (x, y), (rx, ry), flag in zip(*columns, strict=True)]
    ends = pieces.closes & (cuts.overcut_um == 0)[pieces.cut]
    text[ends & ~is_arc] = "z"  # which draws the last straight piece itself
    text[ends & is_arc] += "z"
    return text


def mm_texts(number_nm: IntArray) -> TextArray:
    """Whole nanometres as millimetres, each distinct number written once. Of the same shape."""
    each, at = np.unique(number_nm, return_inverse=True)
    texts = [f"{one / NM_PER_MM:.6f}".rstrip("0").rstrip(".") for one in each.tolist()]
    found: TextArray = np.array([*texts, ""], dtype=object)[at]
    return found.reshape(number_nm.shape)


def _joined(text: TextArray, begin: IntArray) -> TextArray:
    """Texts from each beginning to the next as one."""
    every, at = text.tolist(), begin.tolist()
    joined = np.empty(len(at) - 1, object)
    joined[:] = ["".join(every[one:other]) for one, other in pairwise(at)]
    return joined


def _scaled_nm(place_mm: FloatArray, scale: FloatArray) -> IntArray:
    scaled: IntArray = np.rint(place_mm * scale * NM_PER_MM).astype(np.int64)
    return scaled
