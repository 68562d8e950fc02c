"""Chains of short chords written as few arcs and lines, each vertex as near to them as is asked."""

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray

_MOST_TURN_RAD: Final = 1.7
"""Arcs end before their ends would no longer tell where their middles are."""
_FEWEST: Final = 3
"""So many chords at least make an arc."""


class Piece(NamedTuple):
    """From the end of the piece before, or from the first vertex, to a vertex."""

    end: int
    """Row of the vertex; behind the last one comes the first again."""
    radius: float
    """0 for a straight line; less than 0 for an arc that turns clockwise."""


def pieces_of(ring: FloatArray, loose: float) -> Iterator[Piece]:
    """
    A closed chain in pieces.

    Args:
        ring: Its vertices, the first one again at the end; best begun at the end of a long side. (n, 2).
        loose: How far a vertex, or the middle of a chord, may be from its piece, in the ring's unit.
    """
    at, last = 0, len(ring) - 1
    while at < last:
        line = _reach(ring, at, lambda chain: _is_line(chain, loose))
        arc = _reach(ring, at, lambda chain: bool(_arc_radius(chain, loose)))
        if arc >= at + _FEWEST and arc > line:
            yield Piece(arc, _arc_radius(ring[at : arc + 1], loose))
            at = arc
        else:
            yield Piece(line, 0.0)
            at = line


def from_longest_side(ring: FloatArray) -> FloatArray:
    """A closed chain begun at the end of its longest side."""
    longest = int(np.argmax(np.hypot(*np.diff(ring, axis=0).T)))
    return np.concatenate([ring[longest + 1 :], ring[1 : longest + 2]])


def _reach(ring: FloatArray, at: int, fits: Callable[[FloatArray], bool]) -> int:
    """The farthest vertex to which a piece fits; the next one always does."""
    last = len(ring) - 1
    low, step = min(at + 1, last), _FEWEST - 1
    while low < last and fits(ring[at : min(at + step, last) + 1]):
        low, step = min(at + step, last), 2 * step
    high = min(at + step, last + 1)
    while high - low > 1:
        middle = (low + high) // 2
        if fits(ring[at : middle + 1]):
            low = middle
        else:
            high = middle
    return low


def _is_line(chain: FloatArray, loose: float) -> bool:
    """Whether all vertices lie along the line from the first to the last."""
    way, off = chain[-1] - chain[0], chain - chain[0]
    length = float(np.hypot(*way))
    if not length:
        return False
    aside = (off[:, 0] * way[1] - off[:, 1] * way[0]) / length
    along = off @ way / length
    return bool((np.abs(aside) <= loose).all() and (np.diff(along) >= 0).all())


def _arc_radius(chain: FloatArray, loose: float) -> float:
    """Radius of the arc from the first vertex to the last that has all between on it; 0 if there is none."""
    if len(chain) <= _FEWEST - 1:
        return 0.0
    first, middle, last = chain[0], chain[len(chain) // 2], chain[-1]
    one, two = middle - first, last - first
    cross = float(one[0] * two[1] - one[1] * two[0])
    if not cross:
        return 0.0
    squares = float(one @ one), float(two @ two)
    centre = np.array(
        [two[1] * squares[0] - one[1] * squares[1], one[0] * squares[1] - two[0] * squares[0]]
    ) / (2 * cross)
    radius = float(np.hypot(*centre))
    spoke = chain - first - centre
    if not (np.abs(np.hypot(*spoke.T) - radius) <= loose).all():
        return 0.0
    turn = np.arctan2(
        spoke[:-1, 0] * spoke[1:, 1] - spoke[:-1, 1] * spoke[1:, 0], (spoke[:-1] * spoke[1:]).sum(axis=1)
    )
    turn = turn if cross > 0 else -turn
    bulge = radius * (1 - np.cos(turn.max() / 2))
    is_one_way = turn.min() >= 0 and turn.sum() <= _MOST_TURN_RAD and bulge <= loose
    return (radius if cross > 0 else -radius) if is_one_way else 0.0
