"""How far a layer as a whole has moved between two revisions, as by another origin."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import distinct, distinct_rows, rows_of_runs
from pastecheck.report import steps_of_10_um
from pastecheck.revisions.places import Matched, Places, comes_first, one_to_one
from pastecheck.units import NM_PER_MM

_NEAR_NM: Final = 20_000
"""Openings at one place, as far as the way is looked for: more than an export rounds."""
_RESIZED: Final = 0.25
"""Share by which openings may have been resized, and still tell that it is the same layer."""
_MOST_WAYS: Final = 200_000
"""Ways between like openings that are looked at; those of the rarest sizes come first."""
_SAMPLE: Final = 2_000
"""Openings, spread over the layer, by which a way is tried."""
_TRIED: Final = 5
"""Most frequent ways of each grid that are tried."""
_ENOUGH: Final = 0.5
"""Share of the openings of the smaller layer that have to be found again for a way to be believed."""

_BETTER: Final = 0.01
"""By so much of the openings another way has to be better than none: grids are alike a pitch further on."""

Way = tuple[int, int]
NO_WAY: Final[Way] = (0, 0)


class Placed(NamedTuple):
    """Openings by their middles and sizes; columns of n rows."""

    place_nm: IntArray
    """Shape (n, 2)."""
    size_nm: IntArray
    """Width and length. Shape (n, 2)."""


def placed_at(rows_mm: FloatArray) -> Placed:
    """Openings by middle x, middle y, width and length in mm. Shape (n, 4)."""
    rows_nm = np.rint(rows_mm * NM_PER_MM).astype(np.int64)
    return Placed(rows_nm[:, :2], rows_nm[:, 2:])


def common_way(old: Placed, new: Placed) -> Way | None:
    """
    The way by which the openings of one revision have to be moved to be those of the other, in nm.

    Ways between openings of one size are counted; those that are found most often, those between the corners
    of both layers, and not to move at all are then tried on openings spread over the layer. That which brings
    most of them onto openings of about their size wins, of equals the shortest. What is added, removed or
    changed does not matter, as long as half of the smaller layer keeps together.

    Returns:
        The way in x and y; None where none explains half of the smaller layer: they may be different boards.

    Cost:
        Grows with the openings; the ways that are counted and tried are bounded.
    """
    if not (len(old.place_nm) and len(new.place_nm)):
        return None
    if comes_first(*old) > comes_first(*new):
        back = common_way(new, old)
        return None if back is None else (-back[0], -back[1])
    at = distinct(np.linspace(0, len(old.place_nm) - 1, _SAMPLE).astype(np.int64))
    sample = Placed(old.place_nm[at], old.size_nm[at])
    there = Places(new.place_nm, np.zeros(len(new.place_nm), np.int64), _NEAR_NM)
    unmoved, count = _tried(sample, new, there, NO_WAY)
    best = (count + _BETTER * len(at), 0, unmoved)
    for way in dict.fromkeys([*_between_corners(old, new), *_frequent(old, new)]):
        refined, count = _tried(sample, new, there, way)
        best = max(best, (count, -(refined[0] ** 2 + refined[1] ** 2), refined))
    return best[2] if best[0] >= _ENOUGH * len(at) else None


def _tried(sample: Placed, new: Placed, there: Places, way: Way) -> tuple[Way, int]:
    """How many openings a way brings onto others of their size; and the way as most of them have it."""
    moved_nm = sample.place_nm + np.array(way)
    pairs = there.near(moved_nm, np.zeros(len(moved_nm), np.int64))
    one_nm, other_nm = sample.size_nm[pairs.one], new.size_nm[pairs.other]
    most_nm = np.maximum(_NEAR_NM, _RESIZED * np.maximum(one_nm, other_nm))
    alike = (np.abs(one_nm - other_nm) <= most_nm).all(axis=1)
    pairs = Matched(pairs.one[alike], pairs.other[alike])
    off_nm = new.place_nm[pairs.other] - moved_nm[pairs.one]
    pairs = one_to_one(pairs, np.abs(off_nm).sum(axis=1).astype(np.float64))
    if not len(pairs.one):
        return way, 0
    off: FloatArray = np.median(new.place_nm[pairs.other] - moved_nm[pairs.one], axis=0)
    x, y = off.round().astype(np.int64).tolist()
    return (way[0] + x, way[1] + y), len(pairs.one)


def _between_corners(old: Placed, new: Placed) -> list[Way]:
    """Ways between the lower left corners, the upper right ones, and one side each."""
    low = (new.place_nm.min(axis=0) - old.place_nm.min(axis=0)).tolist()
    high = (new.place_nm.max(axis=0) - old.place_nm.max(axis=0)).tolist()
    return [(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]


def _frequent(old: Placed, new: Placed) -> list[Way]:
    """The most frequent ways from an opening to one of its size."""
    ways = _ways(old, new)
    found: list[Way] = []
    # a way near the edge of its cell is like those just beyond it: four grids, each half a cell off
    for off in ((0, 0), (1, 0), (0, 1), (1, 1)) if len(ways) else ():
        cells = distinct_rows((ways + np.array(off) * _NEAR_NM // 2) // _NEAR_NM)
        votes = np.bincount(cells.inverse)
        for won in np.argsort(-votes, kind="stable")[:_TRIED].tolist():
            x, y = np.median(ways[cells.inverse == won], axis=0).round().astype(np.int64).tolist()
            found.append((x, y))
    return found


def _ways(old: Placed, new: Placed) -> IntArray:
    """Ways between openings of one size, of the rarest sizes as many as may be looked at. Shape (k, 2)."""
    size = steps_of_10_um(np.concatenate([old.size_nm, new.size_nm]) / NM_PER_MM)
    kind = distinct_rows(size).inverse
    one, other = kind[: len(old.size_nm)], kind[len(old.size_nm) :]
    kinds = int(kind.max()) + 1
    count, other_count = np.bincount(one, minlength=kinds), np.bincount(other, minlength=kinds)
    ways = count * other_count
    rarest = np.argsort(np.where(ways > 0, ways, np.iinfo(np.int64).max), kind="stable")
    enough = np.cumsum(ways[rarest]) <= _MOST_WAYS
    enough[:1] = True
    is_wanted = np.zeros(kinds, bool)
    is_wanted[rarest[enough]] = True
    order = np.argsort(other, kind="stable")
    begin = np.cumsum(other_count) - other_count
    rows = np.flatnonzero(is_wanted[one])
    most = max(1, _MOST_WAYS // max(1, int(other_count[one[rows]].max(initial=0))))
    rows = rows[:: max(1, -(-len(rows) // most))] if enough.sum() == 1 else rows
    mine = np.repeat(rows, other_count[one[rows]])
    theirs = order[rows_of_runs(begin[one[rows]], other_count[one[rows]])]
    found: IntArray = new.place_nm[theirs] - old.place_nm[mine]
    return found
