"""What of the copper lies in each opening of the mask; equal arrangements are one kind."""

from enum import IntEnum
from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, Drawing, IntArray
from pastecheck.geometry.across import boxes_across
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import TooManyPairsError
from pastecheck.geometry.pairs import Apart, cores_apart
from pastecheck.limits import Limits
from pastecheck.looks import Looks
from pastecheck.openings import Openings, boxes_nm
from pastecheck.ragged import Distinct, distinct_rows, distinct_runs, offsets
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_MANY_VERTICES: Final = 100
"""What has more is tried by an index, and counts as holding only what lies in it with room on all sides."""
_VERTICES_AT_ONCE: Final = 2_000_000
_A_PAIR_TAKES: Final = 20
_EACH_ALONE: Final = 8
"""So many things of copper may meet each opening of the mask, besides those that the limit allows."""
_WHOLE: Final = -1
"""In place of a look: a thing that covers the whole window, whatever it looks like beyond."""


class Meets(IntEnum):
    """How a thing of copper lies to a window."""

    PARTLY = 1
    WITHIN = 2
    COVERS = 3


class Windows(NamedTuple):
    """
    Copper in windows: the openings of the mask that hold any, and what they hold.

    Window w has the members offset[w] to offset[w + 1]: in drawing order where something clear is among them.
    """

    mask: IntArray
    """Row of the mask opening. Shape (w,)."""
    offset: IntArray
    member: IntArray
    """Objects of the copper drawing. Shape (m,)."""
    meets: IntArray
    """A `Meets` for each member."""
    kinds: Distinct
    """Windows of one kind are equal about the origins of their mask openings."""
    seen: IntArray
    """All dark things that can be seen in the window, also those under others. Shape (v,)."""
    seen_in: IntArray
    """The window of each. Shape (v,), ascending."""


def windows_of(mask: Openings, drawing: Drawing, looks: Looks, look: IntArray, limits: Limits) -> Windows:
    """
    The copper that can be seen in each opening of a mask.

    Args:
        mask: Its openings.
        drawing: The copper.
        looks: Distinct looks of the copper.
        look: Row of looks for each object of the copper. Shape (n,).
        limits: How many pairs of mask openings and things are looked at most.

    Raises:
        TooMuchError: If there are more.
    """
    window, thing = _near(mask, drawing, looks, look, limits)
    meets = _meets(mask, drawing, looks, look, window, thing)
    pairs = _Pairs(window, thing, meets, drawing.dark[thing]).rows(meets > 0)
    covers = pairs.meets == Meets.COVERS
    pairs = pairs.rows(pairs.thing > pairs.last(covers & ~pairs.dark))  # what comes before is all cut away
    seen = pairs.rows(pairs.dark)
    covers = pairs.meets == Meets.COVERS
    pairs = pairs.rows(pairs.thing >= pairs.last(covers))
    pairs = pairs.rows(pairs.dark | (pairs.thing > pairs.first(pairs.dark)))
    mixed = pairs.has(~pairs.dark)
    covers = pairs.meets == Meets.COVERS
    pairs = pairs.rows(mixed | covers | ~pairs.has(covers))
    return _arranged(mask, drawing, look, pairs, seen)


class _Pairs(NamedTuple):
    """A window and a thing in it; sorted by window, then by thing. Shape (k,) each."""

    window: IntArray
    thing: IntArray
    meets: IntArray
    dark: BoolArray

    def rows(self, kept: BoolArray) -> "_Pairs":
        """Some of the pairs."""
        return _Pairs(self.window[kept], self.thing[kept], self.meets[kept], self.dark[kept])

    def last(self, of: BoolArray) -> IntArray:
        """The last of some things in the window of each pair, -1 where there is none. Shape (k,)."""
        found = np.full(self.windows, -1, np.int64)
        np.maximum.at(found, self.window[of], self.thing[of])
        return found[self.window]

    def first(self, of: BoolArray) -> IntArray:
        """The first of some things in the window of each pair; beyond all where there is none. Shape (k,)."""
        found = np.full(self.windows, np.iinfo(np.int64).max)
        np.minimum.at(found, self.window[of], self.thing[of])
        return found[self.window]

    def has(self, of: BoolArray) -> BoolArray:
        """Whether the window of each pair has some of those. Shape (k,)."""
        return self.last(of) >= 0

    @property
    def windows(self) -> int:
        """One more than the last window."""
        return int(self.window[-1]) + 1 if len(self.window) else 0


def _near(
    mask: Openings, drawing: Drawing, looks: Looks, look: IntArray, limits: Limits
) -> tuple[IntArray, IntArray]:
    """Mask openings and things whose boxes meet."""
    drawn = np.flatnonzero(~shapely.is_empty(looks.outline)[look])
    place = np.column_stack([drawing.x_nm, drawing.y_nm, drawing.x_nm, drawing.y_nm])[drawn]
    most = limits.overlaps + _EACH_ALONE * len(mask)
    boxes = boxes_nm(mask.shapes, mask.shape, mask.x_nm, mask.y_nm)
    try:
        window, row = boxes_across(boxes, looks.bounds_nm[look[drawn]] + place, most)
    except TooManyPairsError as found:
        what = f"up to {found.bound} things of copper lie in openings of the mask; at most {most} are read"
        raise TooMuchError(what, "overlaps", found.bound) from None
    return window, drawn[row]


def _meets(
    mask: Openings, drawing: Drawing, looks: Looks, look: IntArray, window: IntArray, thing: IntArray
) -> IntArray:
    """How each thing lies to its window, 0 where the two do not meet; once for each distinct pair."""
    dx = drawing.x_nm[thing] - mask.x_nm[window]
    dy = drawing.y_nm[thing] - mask.y_nm[window]
    kinds = distinct_rows(np.column_stack([look[thing], mask.shape[window], dx, dy]))
    row = kinds.first
    table = np.concatenate([looks.outline, mask.shapes.outline])
    count = shapely.get_num_coordinates(table)
    shapely.prepare(table[count > _MANY_VERTICES])
    pairs = Apart(
        look[thing[row]],
        len(looks.outline) + mask.shape[window[row]],
        -dx[row] / NM_PER_MM,
        -dy[row] / NM_PER_MM,
    )
    meets = np.zeros(len(row), np.int64)
    step = np.cumsum(np.minimum(count[pairs.one], count[pairs.other]) + _A_PAIR_TAKES) // _VERTICES_AT_ONCE
    for some in np.split(np.arange(len(row)), np.flatnonzero(np.diff(step)) + 1):
        copper, opening = cores_apart(table, pairs.rows(some))
        meets[some] = _relation(copper, opening)
    found: IntArray = meets[kinds.inverse]
    return found


def _relation(copper: GeometryArray, opening: GeometryArray) -> IntArray:
    larger_first = shapely.get_num_coordinates(copper) >= shapely.get_num_coordinates(opening)
    one, other = np.where(larger_first, copper, opening), np.where(larger_first, opening, copper)
    meets = np.where(shapely.intersects(one, other), int(Meets.PARTLY), 0)
    meets[_holds(opening, copper, np.flatnonzero(meets))] = Meets.WITHIN
    meets[_holds(copper, opening, np.flatnonzero(meets))] = Meets.COVERS
    return meets


def _holds(outer: GeometryArray, inner: GeometryArray, rows: IntArray) -> IntArray:
    """Of some rows those in which one lies in the other, but not all in which it touches its edge."""
    outer_box, inner_box = (
        shapely.bounds(outer[rows]).reshape(-1, 4),
        shapely.bounds(inner[rows]).reshape(-1, 4),
    )
    may = (outer_box[:, :2] <= inner_box[:, :2]).all(axis=1) & (outer_box[:, 2:] >= inner_box[:, 2:]).all(
        axis=1
    )
    rows = rows[may]
    many = shapely.get_num_coordinates(outer[rows]) > _MANY_VERTICES
    holds = np.zeros(len(rows), bool)
    holds[~many] = shapely.covers(outer[rows[~many]], inner[rows[~many]])
    holds[many] = shapely.contains_properly(outer[rows[many]], inner[rows[many]])
    held: IntArray = rows[holds]
    return held


def _arranged(mask: Openings, drawing: Drawing, look: IntArray, pairs: _Pairs, seen: _Pairs) -> Windows:
    """Windows with their members in an order that equal windows share, and their kinds."""
    mixed = pairs.has(~pairs.dark)
    whole = pairs.meets == Meets.COVERS
    dx = np.where(whole, 0, drawing.x_nm[pairs.thing] - mask.x_nm[pairs.window])
    dy = np.where(whole, 0, drawing.y_nm[pairs.thing] - mask.y_nm[pairs.window])
    looks_like = np.where(whole, _WHOLE, look[pairs.thing])
    turn = np.where(mixed, pairs.thing, 0)
    order = np.lexsort((dy, dx, looks_like, turn, pairs.window))
    opening, of_window = np.unique(pairs.window[order], return_inverse=True)
    count = np.bincount(of_window, minlength=len(opening))
    # a row for the window itself stands before those of its members
    size = offsets(count + 1)
    pattern = np.zeros((int(size[-1]), 4), np.int64)
    pattern[size[:-1], 0] = mask.shape[opening]
    members = np.column_stack([looks_like, dx, dy, pairs.dark])[order]
    pattern[np.arange(len(order)) + of_window + 1] = members
    shown = np.searchsorted(opening, seen.window)
    return Windows(
        opening,
        offsets(count),
        pairs.thing[order],
        pairs.meets[order],
        distinct_runs(pattern, size),
        seen.thing,
        shown,
    )
