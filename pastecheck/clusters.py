"""
Which objects of a drawing overlap or abut, and so have to be merged; each distinct arrangement once.

Most objects stand alone and are never merged. The others are gathered into clusters, and clusters that look
the same (the same looks at the same relative places) are one kind.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, Drawing, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import Rows, TooManyPairsError, close_boxes
from pastecheck.geometry.dissolve import ALONG_MM, TOUCH_MM, connected
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.pairs import Apart, cores_apart, gaps_apart
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import Looks
from pastecheck.ragged import distinct, distinct_rows, distinct_runs, offsets
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_LIKE_ANOTHER = 4
"""A pair that is like no other counts as so many."""

_ROOM_NM = round(3 * FLATNESS_MM * NM_PER_MM)
"""What lies in a clear thing with so much room on all sides lies in it whatever flattening has moved."""
_BOXES_AT_ONCE = 100_000


@dataclass(frozen=True, eq=False, slots=True)
class Clusters:
    """Objects that stand alone, and groups of others. Objects are rows of the drawing."""

    alone: IntArray
    """Dark objects that nothing touches. Shape (a,)."""
    member: IntArray
    """Objects of all clusters, one cluster behind the other. Shape (m,)."""
    offset: IntArray
    """Cluster c has the members offset[c] to offset[c + 1]. Shape (c + 1,)."""
    x_nm: IntArray
    """Origin of each cluster. Shape (c,)."""
    y_nm: IntArray
    kind: IntArray
    """Shape (c,). Clusters of one kind are equal about their origins."""
    example: IntArray
    """A cluster of each kind."""
    again: IntArray
    """Objects left out because an equal one was drawn before at the same place."""
    again_of: IntArray
    """Those that they are equal to. Shape of `again`."""


def clusters_of(drawing: Drawing, looks: Looks, look: IntArray, limits: Limits = STANDARD) -> Clusters:
    """
    Gather the objects that touch, directly or through others.

    A clear object belongs to every cluster that it overlaps and that was begun before it; else it removes
    nothing. It joins none: what it lies across stays as far apart as it was.

    Args:
        drawing: What the layer file drew.
        looks: Distinct looks.
        look: Row of looks for each object of the drawing. Shape (n,).
        limits: How many pairs may lie across each other at most.

    Raises:
        TooMuchError: If there are more.
    """
    drawn = np.flatnonzero(~shapely.is_empty(looks.outline)[look])
    drawn, repeats = _each_once(drawing, look, drawn)
    dark, kind = drawing.dark[drawn], look[drawn]
    x_nm, y_nm = drawing.x_nm[drawn], drawing.y_nm[drawn]
    bounds_nm = looks.bounds_nm[kind] + np.column_stack([x_nm, y_nm, x_nm, y_nm])
    most = limits.overlaps + _LIKE_ANOTHER * len(drawn)  # all may lie within the box of one frame besides
    try:
        first, second = close_boxes(bounds_nm, most=most)
    except TooManyPairsError as found:
        raise _too_many(found.bound, most, found.bound) from None
    wiped = _wiped(looks, kind, np.column_stack([x_nm, y_nm]), bounds_nm, dark, Rows(first, second))
    there = dark[first] & (first >= wiped[second])
    first, second = first[there], second[there]
    way = x_nm[second] - x_nm[first], y_nm[second] - y_nm[first]
    met = _meet(looks, kind[first], kind[second], *way, most)
    first, second = first[met], second[met]
    joins = dark[second]
    root = connected(len(drawn), first[joins], second[joins])
    cut = distinct_rows(np.column_stack([root[first[~joins]], second[~joins]])).first
    cut_root, clear = root[first[~joins]][cut], second[~joins][cut]
    touched = np.bincount(root, minlength=len(drawn))
    np.add.at(touched, cut_root, 1)
    alone = (touched[root] == 1) & dark & looks.whole[kind]
    grouped = np.flatnonzero(dark & ~alone)
    member = np.concatenate([drawn[grouped], drawn[clear]])
    cluster = np.concatenate([root[grouped], cut_root])
    return _arranged(drawing, look, drawn[alone], member, cluster, repeats)


def _too_many(bound: int, most: int, wanted: int) -> TooMuchError:
    what = f"up to {bound} pairs of things are drawn across each other"
    return TooMuchError(f"{what}; at most {most} are merged", "overlaps", wanted)


class _Repeats(NamedTuple):
    """Objects that repeat others, as in `Clusters`."""

    again: IntArray
    again_of: IntArray


def _each_once(drawing: Drawing, look: IntArray, drawn: IntArray) -> tuple[IntArray, _Repeats]:
    """Objects less those that repeat an equal one of the same component with nothing clear in between."""
    dark = drawing.dark[drawn]
    column = (
        look[drawn],
        drawing.x_nm[drawn],
        drawing.y_nm[drawn],
        drawing.label[drawn],
        dark,
        np.cumsum(~dark),
    )
    kinds = distinct_rows(np.column_stack(column))
    if len(kinds.first) == len(drawn):
        return drawn, _Repeats(drawn[:0], drawn[:0])
    first = drawn[kinds.first[kinds.inverse]]
    repeats = first != drawn
    return drawn[~repeats], _Repeats(drawn[repeats], first[repeats])


def _wiped(
    looks: Looks, kind: IntArray, place_nm: IntArray, bounds_nm: IntArray, dark: BoolArray, close: Rows
) -> IntArray:
    """
    For each thing the last clear one before it that it lies in with room on all sides, or -1. Shape (n,).

    What was drawn before that clear thing is gone where the other lies, and cannot touch it: so a land with a
    window does not join all that is drawn in the window.
    """
    wiped = np.full(len(kind), -1, np.int64)
    clear = np.flatnonzero(~dark[close.first])
    for begin in range(0, len(clear), _BOXES_AT_ONCE):
        some = clear[begin : begin + _BOXES_AT_ONCE]
        window, thing = close.first[some], close.second[some]
        box_nm = bounds_nm[thing] - np.tile(place_nm[window], 2) + _ROOM_NM * np.array([-1, -1, 1, 1])
        shapely.prepare(looks.outline[distinct(kind[window])])
        lies_in = shapely.contains_properly(looks.outline[kind[window]], shapely.box(*(box_nm / NM_PER_MM).T))
        np.maximum.at(wiped, thing[lies_in], window[lies_in])
    return wiped


def _meet(
    looks: Looks, one: IntArray, other: IntArray, dx_nm: IntArray, dy_nm: IntArray, most: int
) -> BoolArray:
    """Whether looks at a distance overlap or abut; once for each distinct pair. Shape (k,)."""
    kinds = distinct_rows(np.column_stack([one, other, dx_nm, dy_nm]))
    row = kinds.first
    if len(row) > most // _LIKE_ANOTHER:
        raise _too_many(len(row), most // _LIKE_ANOTHER, _LIKE_ANOTHER * len(row))
    pairs = Apart(one[row], other[row], dx_nm[row] / NM_PER_MM, dy_nm[row] / NM_PER_MM)
    core = np.where(shapely.is_geometry(looks.core), looks.core, looks.outline)
    gap_mm = gaps_apart(core, looks.radius_mm, pairs, TOUCH_MM)
    met = gap_mm <= TOUCH_MM
    reach_mm = looks.radius_mm[pairs.one] + looks.radius_mm[pairs.other]
    flat = np.flatnonzero(met & (reach_mm == 0))
    met[flat] = ~_touch_at_corner(core, pairs.rows(flat))
    barely = np.flatnonzero(met & (np.abs(gap_mm) <= TOUCH_MM) & (reach_mm > 0))
    met[barely] = _touch_along(*cores_apart(core, pairs.rows(barely)), reach_mm[barely]) > ALONG_MM
    result: BoolArray = met[kinds.inverse]
    return result


def _touch_at_corner(core: GeometryArray, pairs: Apart) -> BoolArray:
    """
    Whether polygons that touch can do so in a point only, by the boxes about them. Shape (k,).

    They would come apart again when they are merged, but not where the flattened curve of a third thing goes
    through that point.
    """
    of_core = shapely.bounds(core).reshape(-1, 4)
    box = of_core[pairs.one]
    other_box = of_core[pairs.other] + np.tile(np.column_stack([pairs.dx_mm, pairs.dy_mm]), 2)
    shared = np.minimum(box[:, 2:], other_box[:, 2:]) - np.maximum(box[:, :2], other_box[:, :2])
    return np.asarray((shared <= TOUCH_MM).all(axis=1))


def _touch_along(core: GeometryArray, other: GeometryArray, reach_mm: FloatArray) -> FloatArray:
    """Length along which solids touch that are `reach_mm` apart at their cores; 0 where a core is a point."""
    point = (shapely.get_dimensions(core) == 0) | (shapely.get_dimensions(other) == 0)
    line = np.where(shapely.get_dimensions(core) == 2, shapely.boundary(core), core)
    near = shapely.buffer(other, reach_mm + 2 * TOUCH_MM)
    return np.where(point, 0.0, shapely.length(shapely.intersection(line, near)))


def _arranged(
    drawing: Drawing,
    look: IntArray,
    alone: IntArray,
    member: IntArray,
    cluster: IntArray,
    repeats: _Repeats,
) -> Clusters:
    """
    Clusters with their members in an order that equal clusters share, and their kinds.

    Where all members are dark their order does not matter: they are sorted by look and place. Else they stay
    in drawing order.
    """
    _, cluster = np.unique(cluster, return_inverse=True)
    mixed = np.zeros(cluster.max(initial=-1) + 1, bool)
    mixed[cluster[~drawing.dark[member]]] = True
    turn = np.where(mixed[cluster], member, 0)
    x_nm, y_nm = drawing.x_nm[member], drawing.y_nm[member]
    order = np.lexsort((y_nm, x_nm, look[member], turn, cluster))
    member, x_nm, y_nm = member[order], x_nm[order], y_nm[order]
    offset = offsets(np.bincount(cluster, minlength=len(mixed)))
    count = np.diff(offset)
    low_x = np.minimum.reduceat(x_nm, offset[:-1]) if len(count) else x_nm
    low_y = np.minimum.reduceat(y_nm, offset[:-1]) if len(count) else y_nm
    pattern = np.column_stack(
        [
            look[member],
            x_nm - np.repeat(low_x, count),
            y_nm - np.repeat(low_y, count),
            drawing.dark[member].astype(np.int64),
        ]
    )
    kinds = distinct_runs(pattern, offset)
    return Clusters(alone, member, offset, low_x, low_y, kinds.inverse, kinds.first, *repeats)
