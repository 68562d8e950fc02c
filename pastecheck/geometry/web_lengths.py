"""How long webs are: how far two outlines that lie apart run alongside each other."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.alongside import (
    ROUNDING_MM,
    Pieces,
    boxes_of,
    may_face,
    pieces_of,
    right_of,
    rows_of,
    stretches_facing,
    union_lengths,
)
from pastecheck.geometry.pairs import Apart
from pastecheck.geometry.walls import chunks_of
from pastecheck.ragged import distinct, offsets, rows_of_runs

GeometryArray = NDArray[np.object_]

_PIECES_AT_ONCE = 12_000
_MANY = 64
"""Of an outline of more pieces that is in many pairs, only those near the other outline are looked at."""
_PIECES_PASSED = 50_000
_TRIED_EACH = 100_000
"""Two outlines of which more pieces may face each other, one's times the other's, are looked up in a tree."""


class _Parts(NamedTuple):
    """The pieces of a table of outlines, those of each behind one another."""

    pieces: Pieces
    box_mm: FloatArray
    size: IntArray
    """Pieces of each outline."""
    first: IntArray
    """Row of the first of them."""
    is_indexed: BoolArray
    """Whether pieces are found by a tree."""
    trees: dict[int, shapely.STRtree]
    """Those that were needed so far."""

    def near(self, outline: IntArray, moved_mm: FloatArray, window_mm: FloatArray) -> Pieces:
        """
        Pieces of outlines that are moved, whose boxes meet windows; `shape` is the row of the pair.

        Args:
            outline: Rows of the table. Shape (k,).
            moved_mm: Shape (k, 2).
            window_mm: Where the other outline of each pair lies, and its reach. Shape (k, 4).
        """
        window_mm = window_mm - np.tile(moved_mm, 2)
        plain = np.flatnonzero(~self.is_indexed[outline])
        pair = np.repeat(plain, self.size[outline[plain]])
        piece = rows_of_runs(self.first[outline[plain]], self.size[outline[plain]])
        met = _meet(self.box_mm[piece], window_mm[pair])
        pairs, found = [pair[met]], [piece[met]]
        indexed = np.flatnonzero(self.is_indexed[outline])
        for one in distinct(outline[indexed]).tolist():
            rows = indexed[outline[indexed] == one]
            row, met_ = self._tree(one).query(shapely.box(*window_mm[rows].T))
            pairs.append(rows[row])
            found.append(self.first[one] + met_)
        pair, piece = np.concatenate(pairs), np.concatenate(found)
        order = np.lexsort((piece, pair))
        pair = pair[order]
        pieces = rows_of(self.pieces, piece[order])
        return pieces._replace(shape=pair, begin_mm=pieces.begin_mm + moved_mm[pair])

    def _tree(self, outline: int) -> shapely.STRtree:
        if outline not in self.trees:
            of_it = slice(self.first[outline], self.first[outline] + self.size[outline])
            self.trees[outline] = shapely.STRtree(
                np.asarray(shapely.box(*self.box_mm[of_it].T), dtype=object)
            )
        return self.trees[outline]


def web_lengths(core: GeometryArray, radius_mm: FloatArray, pairs: Apart, near_mm: FloatArray) -> FloatArray:
    """
    How far two outlines that lie apart run alongside each other. Shape (k,), in mm.

    On each outline the pieces within reach of the other whose outward normal is within 60 degrees of the
    way to the nearest point there; the smaller sum of the two. Beside a hollow, any locally nearest point.

    Args:
        core: Points, straight lines or polygons, in mm; convex where the radius is not 0. Shape (s,).
        radius_mm: Shape (s,).
        pairs: Rows of the two, and the way from one origin to the other.
        near_mm: The reach, more than the distance of the two. Shape (k,).

    Returns:
        Exact for core and radius; a piece that begins or ends on the flattened arc of a polygon does so at
        whole facets, as their normals go, so it is at most half a facet too long or too short.

    Cost:
        Grows with the pieces of all pairs, each as often as it is met; of outlines of many pieces that are
        in many pairs only those near the other outline count.
    """
    length = np.zeros(len(near_mm))
    if not len(length):
        return length
    parts = _parts_of(core, radius_mm, pairs)
    moved = np.column_stack([pairs.dx_mm, pairs.dy_mm])
    box = shapely.bounds(core).reshape(-1, 4) + np.array([-1, -1, 1, 1]) * radius_mm[:, None]
    looked_at = np.where(parts.is_indexed, _MANY, parts.size)
    for chunk in chunks_of(looked_at[pairs.one] + looked_at[pairs.other], _PIECES_AT_ONCE):
        one, other, way, near = pairs.one[chunk], pairs.other[chunk], moved[chunk], near_mm[chunk]
        reach = near[:, None] * np.array([-1, -1, 1, 1])
        first = parts.near(one, np.zeros_like(way), box[other] + np.tile(way, 2) + reach)
        second = parts.near(other, way, box[one] + reach)
        length[chunk] = np.minimum(_total(first, second, near), _total(second, first, near))
    return length


def _parts_of(core: GeometryArray, radius_mm: FloatArray, pairs: Apart) -> _Parts:
    """Pieces of outlines; of those that are in no pair there are none."""
    used = distinct(np.concatenate([pairs.one, pairs.other]))
    pieces = pieces_of(core[used], radius_mm[used])
    pieces = pieces._replace(shape=used[pieces.shape])
    count = np.bincount(pieces.shape, minlength=len(core))
    uses = np.bincount(np.concatenate([pairs.one, pairs.other]), minlength=len(core))
    is_indexed = (count > _MANY) & (count * uses > _PIECES_PASSED)
    return _Parts(pieces, boxes_of(pieces), count, offsets(count)[:-1], is_indexed, {})


def _total(pieces: Pieces, across: Pieces, near_mm: FloatArray) -> FloatArray:
    """Length of the pieces of each first outline that run alongside the second of its pair. Shape (k,)."""
    total = np.zeros(len(near_mm))
    box, box_across = boxes_of(pieces), boxes_of(across)
    around, around_across = (
        _around(b, p.shape, len(near_mm)) for b, p in ((box, pieces), (box_across, across))
    )
    piece = np.flatnonzero(_has_before_it(pieces, box, around_across, near_mm))
    side = np.flatnonzero(_has_before_it(across, box_across, around, near_mm))
    piece = piece[~pieces.is_arc[piece] | (pieces.radius_mm[piece] > 0)]  # a sharp corner has no length
    for near_row, near_side in _tried((pieces, box, piece), (across, box_across, side), near_mm):
        kept = may_face(
            rows_of(pieces, near_row), rows_of(across, near_side), near_mm[pieces.shape[near_row]]
        )
        row, facing = near_row[kept], near_side[kept]
        part = stretches_facing(rows_of(pieces, row), rows_of(across, facing), near_mm[pieces.shape[row]])
        of_piece, extent = union_lengths(part._replace(piece=row[part.piece]))
        length = extent * np.where(pieces.is_arc[of_piece], pieces.radius_mm[of_piece], 1.0)
        total += np.bincount(pieces.shape[of_piece], weights=length, minlength=len(near_mm))
    return total


_Some = tuple[Pieces, FloatArray, IntArray]
"""Pieces, their boxes, and the rows of those that count."""


def _tried(ones: _Some, others: _Some, near_mm: FloatArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Pieces of one outline, each with all of the other that are near; all of a piece come together."""
    pieces, box, piece = ones
    across, box_across, side = others
    count = np.bincount(across.shape[side], minlength=len(near_mm))
    begin, each = offsets(count)[:-1], count[pieces.shape[piece]]
    tries = np.bincount(pieces.shape[piece], weights=each, minlength=len(near_mm))
    is_many = (tries > _TRIED_EACH)[pieces.shape[piece]]
    few = np.flatnonzero(~is_many)
    for chunk in chunks_of(each[few]):
        some = few[chunk]
        row = np.repeat(piece[some], each[some])
        facing = side[rows_of_runs(begin[pieces.shape[piece[some]]], each[some])]
        kept = _are_close(box[row], box_across[facing], near_mm[pieces.shape[row]])
        yield row[kept], facing[kept]
    for pair in distinct(pieces.shape[piece[is_many]]).tolist():
        mine, its = piece[pieces.shape[piece] == pair], side[across.shape[side] == pair]
        tree = shapely.STRtree(np.asarray(shapely.box(*box_across[its].T), dtype=object))
        reach = near_mm[pair] + ROUNDING_MM
        row, met = tree.query(shapely.box(*(box[mine] + reach * np.array([-1, -1, 1, 1])).T))
        yield mine[row], its[met]


def _around(box: FloatArray, shape: IntArray, count: int) -> FloatArray:
    """Box about all pieces of each shape. Shape (count, 4)."""
    around = np.full((count, 4), np.inf)
    begins = np.flatnonzero(np.diff(shape, prepend=-1))
    around[shape[begins], :2] = np.minimum.reduceat(box[:, :2], begins)
    around[shape[begins], 2:] = np.maximum.reduceat(box[:, 2:], begins)
    return around


def _has_before_it(pieces: Pieces, box: FloatArray, around: FloatArray, near_mm: FloatArray) -> BoolArray:
    """Whether the box about the other shape comes near a piece, and lies ahead of it at least in part."""
    other = around[pieces.shape]
    close = _are_close(box, other, near_mm[pieces.shape])
    low, high = other[:, :2] - pieces.begin_mm, other[:, 2:] - pieces.begin_mm

    def farthest(way: FloatArray) -> FloatArray:
        """How far the box reaches in a direction."""
        farther = np.maximum(low * way, high * way)
        return farther[:, 0] + farther[:, 1]

    side = ~pieces.is_arc & (farthest(right_of(pieces.along)) > pieces.radius_mm)
    corner = (farthest(pieces.along) >= 0) & (farthest(-pieces.leaving) >= 0)
    return close & (side | (pieces.is_arc & (corner | (pieces.radius_mm > 0))))


def _are_close(box: FloatArray, other: FloatArray, near_mm: FloatArray) -> BoolArray:
    """Whether boxes are within reach of each other. Shape (k,)."""
    reach = near_mm + ROUNDING_MM
    close: BoolArray = (box[:, 0] <= other[:, 2] + reach) & (other[:, 0] <= box[:, 2] + reach)
    close &= (box[:, 1] <= other[:, 3] + reach) & (other[:, 1] <= box[:, 3] + reach)
    return close


def _meet(box: FloatArray, window: FloatArray) -> BoolArray:
    """Whether boxes meet windows. Shape (k,)."""
    met: BoolArray = (box[:, 0] <= window[:, 2]) & (window[:, 0] <= box[:, 2])
    met &= (box[:, 1] <= window[:, 3]) & (window[:, 1] <= box[:, 3])
    return met
