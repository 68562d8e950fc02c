"""Which openings of two revisions are the same: by component where one is named, else by place and shape."""

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import distinct, distinct_rows
from pastecheck.report import steps_of_10_um
from pastecheck.revisions.found import REACH_NM
from pastecheck.revisions.places import NOTHING, Matched, Places, comes_first, one_to_one
from pastecheck.units import NM_PER_MM

_OVERLAP_NM: Final = 500_000
"""How far the middle of an opening may go when it is resized; but not beyond its own edge."""
_STRAY_NM: Final = 2_000_000
"""How far an opening may go by itself, if it is not the only one of its size that is missing."""
_SAME_SIZE_NM: Final = 10_000


class Cut(NamedTuple):
    """Openings of one revision, those of the old one moved by the way of the whole layer; n rows."""

    place_nm: IntArray
    """Middles. Shape (n, 2)."""
    size_nm: IntArray
    """Width and length. Shape (n, 2)."""
    label: IntArray
    """A number for each component, the same in both revisions; 0 for none. Shape (n,)."""


def same_openings(old: Cut, new: Cut) -> Matched:
    """
    The openings of both revisions that are the same one, changed or not.

    First those of components that stand where they stood, whatever they are called now. Then those of one
    component: where they stood, or moved as the component as a whole has moved, whichever
    explains more of them. Then whatever lies at the same place. Of what is left those that overlap, so have
    been resized to one side; and at last those of equal size that are near each other, or of which only one
    is left on either side: they have moved by themselves. From either revision the same pairs are found.
    """
    if comes_first(old.place_nm, old.size_nm) > comes_first(new.place_nm, new.size_nm):
        back = same_openings(new, old)
        by_one = np.argsort(back.other, kind="stable")
        return Matched(back.other[by_one], back.one[by_one])
    pairs = _that_stayed(old, new)
    for find in (_of_components, _at_one_place, _that_overlap, _that_strayed):
        pairs = _with_more(pairs, old, new, find)
    by_one = np.argsort(pairs.one, kind="stable")
    return Matched(pairs.one[by_one], pairs.other[by_one])


def _with_more(pairs: Matched, old: Cut, new: Cut, find: Callable[[Cut, Cut], Matched]) -> Matched:
    """Pairs, and those that are found among what is left."""
    one = np.flatnonzero(~_marks(pairs.one, len(old.label)))
    other = np.flatnonzero(~_marks(pairs.other, len(new.label)))
    if not (len(one) and len(other)):
        return pairs
    more = find(_rows(old, one), _rows(new, other))
    return Matched(
        np.concatenate([pairs.one, one[more.one]]), np.concatenate([pairs.other, other[more.other]])
    )


def _marks(rows: IntArray, count: int) -> BoolArray:
    marked = np.zeros(count, bool)
    marked[rows] = True
    return marked


def _rows(cut: Cut, rows: IntArray) -> Cut:
    return Cut(cut.place_nm[rows], cut.size_nm[rows], cut.label[rows])


# ------------------------------------------------------------------------------------------------ components


def _that_stayed(old: Cut, new: Cut) -> Matched:
    """
    Openings of components of which each has kept its place and size; they may have been numbered anew.

    What is cut is the same, whatever it is called.
    """
    if not (old.label.any() and new.label.any()):
        return NOTHING
    pairs = _some(found := _near(old, new, REACH_NM), _are_of_one_size(old, new, found))
    pairs = one_to_one(pairs, _cost(old, new, pairs))
    labels = np.column_stack([old.label[pairs.one], new.label[pairs.other]])
    each = distinct_rows(labels)
    both = labels[each.first]
    count = np.bincount(each.inverse, minlength=len(both))
    is_whole: BoolArray = np.logical_and(both[:, 0] > 0, both[:, 1] > 0)
    for of, column in ((old.label, 0), (new.label, 1)):
        members = np.bincount(of, minlength=1 + int(both[:, column].max(initial=0)))
        is_whole &= members[both[:, column]] == count
    return _some(pairs, is_whole[each.inverse])


def _of_components(old: Cut, new: Cut) -> Matched:
    """Openings of components that both revisions have, each component at the way that explains most."""
    count = 1 + max(int(old.label.max(initial=0)), int(new.label.max(initial=0)))
    way_nm, best = np.zeros((count, 2), np.int64), np.zeros(count, np.int64)
    size = np.minimum(np.bincount(old.label, minlength=count), np.bincount(new.label, minlength=count))
    size[0] = 0
    replaced = _is_replaced(old, new, count)
    for step, ways_nm in enumerate((way_nm.copy(), *_between_corners(old, new, count))):
        asked = np.flatnonzero((best < size)[old.label] & (size > 0)[old.label])
        if step and not len(asked):
            break
        explained = _explained(_rows(old, asked), new, ways_nm, count)
        better = explained > best
        best[better], way_nm[better] = explained[better], ways_nm[better]
        size[replaced] = best[replaced]  # they have not moved away, and are asked no more
    asked = np.flatnonzero((best > 0)[old.label])
    pairs = _at_ways(_rows(old, asked), new, way_nm)
    return Matched(asked[pairs.one], pairs.other)


def _is_replaced(old: Cut, new: Cut, count: int) -> BoolArray:
    """
    Whether in the middle of most openings of a component there is now one of another component.

    Then it has not moved away: it was numbered anew, and is what stands there now. Shape (count,).
    """
    pairs = _near(old, new, _OVERLAP_NM)
    off_nm = np.abs(new.place_nm[pairs.other] - old.place_nm[pairs.one]).max(axis=1, initial=0)
    covers = 2 * off_nm <= new.size_nm[pairs.other, 0]
    replaced = distinct(pairs.one[covers & (new.label[pairs.other] != old.label[pairs.one])])
    of = np.bincount(old.label, minlength=count)
    most: BoolArray = 2 * np.bincount(old.label[replaced], minlength=count) > of
    return most


def _explained(old: Cut, new: Cut, way_nm: IntArray, count: int) -> IntArray:
    """How many openings of each component lie where a way of its own brings them. Shape (count,)."""
    return np.bincount(old.label[_at_ways(old, new, way_nm).one], minlength=count)


def _at_ways(old: Cut, new: Cut, way_nm: IntArray) -> Matched:
    moved = old._replace(place_nm=old.place_nm + way_nm[old.label])
    pairs = Places(new.place_nm, new.label, REACH_NM).near(moved.place_nm, moved.label)
    return one_to_one(pairs, _cost(moved, new, pairs))


def _between_corners(old: Cut, new: Cut, count: int) -> list[IntArray]:
    """For each component the ways between its lower left and its upper right corners. (count, 2) each."""
    ways = []
    for pick, nothing in ((np.minimum, np.iinfo(np.int64).max), (np.maximum, np.iinfo(np.int64).min)):
        corner = []
        for cut in (old, new):
            place_nm = np.full((count, 2), nothing)
            for axis in (0, 1):
                pick.at(place_nm[:, axis], cut.label, cut.place_nm[:, axis])
            corner.append(place_nm)
        there = (corner[0] != nothing).all(axis=1) & (corner[1] != nothing).all(axis=1)
        ways.append(np.where(there[:, None], corner[1] - corner[0], 0))
    return ways


def _cost(old: Cut, new: Cut, pairs: Matched) -> FloatArray:
    """How far two openings lie apart, and differ in size."""
    off_nm = np.abs(new.place_nm[pairs.other] - old.place_nm[pairs.one]).sum(axis=1)
    unlike_nm = np.abs(new.size_nm[pairs.other] - old.size_nm[pairs.one]).sum(axis=1)
    cost: FloatArray = (off_nm + unlike_nm).astype(np.float64)
    return cost


# -------------------------------------------------------------------------------------------- place and shape


def _near(old: Cut, new: Cut, reach_nm: int) -> Matched:
    """Pairs within reach, whatever their names."""
    nothing = np.zeros(len(new.label), np.int64)
    return Places(new.place_nm, nothing, reach_nm).near(old.place_nm, np.zeros(len(old.label), np.int64))


def _some(pairs: Matched, wanted: BoolArray) -> Matched:
    return Matched(pairs.one[wanted], pairs.other[wanted])


def _at_one_place(old: Cut, new: Cut) -> Matched:
    pairs = _near(old, new, REACH_NM)
    return one_to_one(pairs, _cost(old, new, pairs))


def _may_be_one(old: Cut, new: Cut, pairs: Matched) -> BoolArray:
    """Whether the names do not tell two apart."""
    one, other = old.label[pairs.one], new.label[pairs.other]
    may: BoolArray = (one == other) | (one == 0) | (other == 0)
    return may


def _that_overlap(old: Cut, new: Cut) -> Matched:
    pairs = _near(old, new, _OVERLAP_NM)
    off_nm = np.abs(new.place_nm[pairs.other] - old.place_nm[pairs.one]).max(axis=1, initial=0)
    widths = old.size_nm[pairs.one, 0], new.size_nm[pairs.other, 0]
    pairs = _some(pairs, off_nm <= np.minimum(*widths) // 2)
    return one_to_one(pairs, _cost(old, new, pairs))


def _that_strayed(old: Cut, new: Cut) -> Matched:
    pairs = _some(found := _near(old, new, _STRAY_NM), _are_of_one_size(old, new, found))
    pairs = _some(pairs, _may_be_one(old, new, pairs))
    near = one_to_one(pairs, _cost(old, new, pairs))
    return _with_more(near, old, new, _only_ones)


def _are_of_one_size(old: Cut, new: Cut, pairs: Matched) -> BoolArray:
    unlike_nm = np.abs(new.size_nm[pairs.other] - old.size_nm[pairs.one])
    alike: BoolArray = (unlike_nm <= _SAME_SIZE_NM).all(axis=1)
    return alike


def _only_ones(old: Cut, new: Cut) -> Matched:
    """Openings of a component and size of which each revision has one left."""
    steps = steps_of_10_um(np.concatenate([old.size_nm, new.size_nm]) / NM_PER_MM)
    label = np.concatenate([old.label, new.label])
    kind = distinct_rows(np.column_stack([label, steps])).inverse
    one, other = kind[: len(old.label)], kind[len(old.label) :]
    kinds = int(kind.max(initial=-1)) + 1
    single = (np.bincount(one, minlength=kinds) == 1) & (np.bincount(other, minlength=kinds) == 1)
    if not single.any():
        return NOTHING
    mine, theirs = np.flatnonzero(single[one]), np.flatnonzero(single[other])
    return Matched(mine[np.argsort(one[mine])], theirs[np.argsort(other[theirs])])
