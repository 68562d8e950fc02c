"""Findings in columns, and which of two revisions are the same."""

from collections.abc import Iterable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.report import LayerReport, Level
from pastecheck.revisions.places import NOTHING, Matched, Places, one_to_one
from pastecheck.units import NM_PER_MM

TextArray = NDArray[np.object_]

REACH_NM: Final = 50_000
"""
Openings whose middles are nearer than this are one: two of them would overlap.

It is more than any export rounds, and far below the least web that anybody cuts.
"""
_SPAN_NM: Final = 2 * REACH_NM
_OTHER_NAME: Final = 1_000.0
"""What another component counts where one of several findings at a place is to be chosen, in um of way."""


class Found(NamedTuple):
    """Findings of a layer, in order of its checks; columns of k rows."""

    check: TextArray
    label: TextArray
    fingerprint: TextArray
    is_error: BoolArray
    is_length: BoolArray
    """Whether the reading is a length, which files in inches round."""
    value: FloatArray
    limit: FloatArray
    place_nm: IntArray
    """Middle of the opening; of a pair, the middle between both; else where it was measured. Shape (k, 2)."""
    span_nm: IntArray
    """Which way the two of a pair lie apart, and how far; in either order the same. Shape (k, 2)."""

    def moved(self, way_nm: tuple[int, int]) -> "Found":
        """The same in a layer that was moved."""
        return self._replace(place_nm=self.place_nm + np.array(way_nm))


def found_in(
    layer: LayerReport,
    middle_mm: FloatArray | None = None,
    way_mm: tuple[float, float] = (0.0, 0.0),
    *,
    where_measured: bool = False,
) -> Found:
    """
    All findings of a layer.

    Args:
        layer: As it was judged.
        middle_mm: Where its openings are taken to be; where they are, unless given. Shape (n, 2).
        way_mm: How far what is no opening is taken to have moved.
        where_measured: Whether the place of a finding is where it was measured, not the opening's middle.
    """
    every = [finding for outcome in layer.outcomes for finding in outcome.findings]
    at_mm = np.array([(one.x_mm, one.y_mm) for one in every], np.float64).reshape(-1, 2) + np.array(way_mm)
    rows = np.array([(one.opening or 0, one.other or 0) for one in every], np.int64).reshape(-1, 2) - 1
    rows[:] = -1 if where_measured else rows
    if middle_mm is None:
        middle_mm = np.column_stack([layer.table.x_mm, layer.table.y_mm])
    middle_mm = np.append(middle_mm, [[0.0, 0.0]], axis=0)
    one_mm = np.where(rows[:, :1] >= 0, middle_mm[rows[:, 0]], at_mm)
    other_mm = np.where(rows[:, 1:] >= 0, middle_mm[rows[:, 1]], one_mm)
    place_nm, span_nm = between(one_mm, other_mm)
    count = [len(outcome.findings) for outcome in layer.outcomes]
    is_length = np.repeat(np.array([outcome.unit == "mm" for outcome in layer.outcomes], bool), count)
    return Found(
        texts(one.check for one in every),
        texts(one.label for one in every),
        texts(one.fingerprint for one in every),
        np.array([one.level is Level.ERROR for one in every], bool),
        is_length,
        np.array([one.value for one in every], np.float64),
        np.array([one.limit for one in every], np.float64),
        place_nm,
        span_nm,
    )


def texts(column: Iterable[str]) -> TextArray:
    """A column of texts."""
    listed = list(column)
    made = np.empty(len(listed), np.object_)
    made[:] = listed
    return made


def between(one_mm: FloatArray, other_mm: FloatArray) -> tuple[IntArray, IntArray]:
    """
    The middle between two places, and how they lie apart, in whole nanometres. Shape (k, 2) each.

    The latter is the way from one to the other with its angle doubled, so that it is the same from either end
    and knows no jump.
    """
    apart = (other_mm - one_mm) @ np.array([1, 1j])
    length = np.abs(apart)
    doubled = np.divide(apart**2, length, out=np.zeros_like(apart), where=length > 0)
    span = np.column_stack([doubled.real, doubled.imag])
    return _nm((one_mm + other_mm) / 2), _nm(span)


def _nm(length_mm: FloatArray) -> IntArray:
    length_nm: IntArray = np.rint(length_mm * NM_PER_MM).astype(np.int64)
    return length_nm


# -------------------------------------------------------------------------------------------- the same again


def same(old: Found, new: Found, *, is_one_board: bool) -> Matched:
    """
    Findings of two revisions that are the same, once the layers lie upon each other.

    The same check at the same place is the same finding, whatever the component is called. Of the rest those
    with equal fingerprints are the same whose component has moved as a whole; and those of the whole layer.

    Args:
        old: Findings of the one, moved by the way of the layer.
        new: Findings of the other.
        is_one_board: Whether enough of the layer was found again. U1 of another board is another component,
            so there only places count.
    """
    check = _numbers(old.check, new.check)
    by_place = _at_one_place(old, new, check)
    if not is_one_board:
        return by_place
    left = (
        np.setdiff1d(np.arange(len(check[0])), by_place.one),
        np.setdiff1d(np.arange(len(check[1])), by_place.other),
    )
    by_name = _of_one_name(old, new, *left)
    is_firm = _have_moved(old, new, by_name, by_place)
    return Matched(
        np.concatenate([by_place.one, by_name.one[is_firm]]),
        np.concatenate([by_place.other, by_name.other[is_firm]]),
    )


def _numbers(one: TextArray, other: TextArray) -> tuple[IntArray, IntArray]:
    """Equal numbers for equal texts."""
    numbers: dict[str, int] = {}
    every = [numbers.setdefault(text, len(numbers)) for text in (*one.tolist(), *other.tolist())]
    column = np.array(every, np.int64)
    return column[: len(one)], column[len(one) :]


def _at_one_place(old: Found, new: Found, check: tuple[IntArray, IntArray]) -> Matched:
    pairs = Places(new.place_nm, check[1], REACH_NM).near(old.place_nm, check[0])
    spans_nm = np.abs(new.span_nm[pairs.other] - old.span_nm[pairs.one]).max(axis=1, initial=0)
    pairs = Matched(pairs.one[spans_nm <= _SPAN_NM], pairs.other[spans_nm <= _SPAN_NM])
    off_um = np.abs(new.place_nm[pairs.other] - old.place_nm[pairs.one]).max(axis=1, initial=0) // 1000
    label = _numbers(old.label, new.label)
    renamed = label[0][pairs.one] != label[1][pairs.other]
    # several findings of one check at one place, as of an opening on two lands: like goes with like
    value, other_value = old.value[pairs.one], new.value[pairs.other]
    unlike = np.abs(value - other_value) / (np.abs(value) + np.abs(other_value) + 1e-12)
    return one_to_one(pairs, off_um + _OTHER_NAME * renamed + unlike)


def _of_one_name(old: Found, new: Found, left_old: IntArray, left_new: IntArray) -> Matched:
    """Pairs of equal fingerprints, which name a component, or nothing but the check."""
    rows = dict(zip(new.fingerprint[left_new].tolist(), left_new.tolist(), strict=True))
    columns = left_old, old.fingerprint[left_old], old.label[left_old]
    both = [
        (row, rows[name])
        for row, name, label in zip(*(column.tolist() for column in columns), strict=True)
        if (label or _is_of_layer(name)) and name in rows
    ]
    if not both:
        return NOTHING
    one, other = np.array(both, np.int64).T
    _, first = np.unique(other, return_index=True)  # a file may say a fingerprint twice
    return Matched(one[first], other[first])


def _is_of_layer(fingerprint: str) -> bool:
    """Whether it is nothing but the check."""
    return " " not in fingerprint


def _have_moved(old: Found, new: Found, by_name: Matched, by_place: Matched) -> BoolArray:
    """
    Whether pairs of one name are of components that have moved as a whole.

    None of a component that still stands where it stood: its lowest or leftmost opening was changed, and
    what has that name now is another one.
    """
    label = _numbers(old.label, new.label)[0]
    count = int(label.max(initial=-1)) + 1
    stays = np.zeros(count, bool)
    stays[label[by_place.one]] = True
    of = label[by_name.one]
    way_nm = new.place_nm[by_name.other] - old.place_nm[by_name.one]
    low, high = np.full((count, 2), np.iinfo(np.int64).max), np.full((count, 2), np.iinfo(np.int64).min)
    for axis in (0, 1):
        np.minimum.at(low[:, axis], of, way_nm[:, axis])
        np.maximum.at(high[:, axis], of, way_nm[:, axis])
    together = ((high[of] - low[of]) <= _SPAN_NM).all(axis=1)
    is_of_layer = np.array([_is_of_layer(name) for name in old.fingerprint[by_name.one].tolist()], bool)
    firm: BoolArray = is_of_layer | (~stays[of] & together)
    return firm


# ------------------------------------------------------------------------------------------------- got worse

_SLACK: Final = 0.02
"""Of a reading or its limit: what an export in inches with four decimals does to a web of 0.13 mm."""


def is_worse(old: Found, new: Found, pairs: Matched, slack_mm: float) -> BoolArray:
    """
    Whether findings are worse than they were known: errors now, farther past a limit, or past another one.

    Args:
        old: Findings as they were known.
        new: As they are.
        pairs: Which are the same.
        slack_mm: What lengths may differ by besides, of both files together.
    """
    one, other = pairs
    side = np.sign(new.value[other] - new.limit[other])
    before = np.sign(old.value[one] - old.limit[one])
    scale = np.maximum(np.abs(new.limit[other]), np.abs(old.value[one]))
    slack = _SLACK * scale + np.where(new.is_length[other], slack_mm, 0.0)
    farther = (new.value[other] - old.value[one]) * side > slack
    is_raised = new.is_error[other] & ~old.is_error[one] & ~would_have_passed(new, slack_mm)[other]
    worse: BoolArray = farther | (side != before) | is_raised
    return worse


def would_have_passed(new: Found, slack_mm: float) -> BoolArray:
    """Whether findings are lengths past their limit by no more than the slack of another file. Shape (k,)."""
    passed: BoolArray = new.is_length & (np.abs(new.value - new.limit) <= slack_mm)
    return passed
