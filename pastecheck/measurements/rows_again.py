"""Rows of a layer in which some openings have changed: found again only among what is like those."""

from dataclasses import replace
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.geometry.boxes import close_boxes
from pastecheck.geometry.dissolve import connected
from pastecheck.geometry.neighbours import LIKE_MM
from pastecheck.geometry.rows import Rows
from pastecheck.geometry.width import Sides
from pastecheck.ragged import distinct_rows, offsets

_STEP_MM: Final = 0.005
_STEPS: Final = int(np.ceil(LIKE_MM / _STEP_MM)) + 1
"""Sizes in whole steps that lie farther apart are not alike."""


def like_changed(sides: Sides, are_round: BoolArray, are_changed: BoolArray) -> BoolArray:
    """
    Outlines like those that have changed, directly or through others; some that are not quite are told too.

    A row is of like openings, and links between neighbours are looked for among like ones only. So a row is
    all of such outlines or has none of them, and without them stays as it is, wherever it lies.

    Args:
        sides: Of the distinct outlines. Shape (s,).
        are_round: Those that are alike with round ones only. Shape (s,).
        are_changed: Outlines that openings had, or have now. Shape (s,).
    """
    size = np.rint(np.column_stack([sides.width_mm, sides.length_mm]) / _STEP_MM).astype(np.int64)
    kinds = distinct_rows(np.column_stack([size, are_round]))
    size, are_round = size[kinds.first], are_round[kinds.first]
    near = close_boxes(np.tile(size, 2), _STEPS)
    same = are_round[near.first] == are_round[near.second]
    family = connected(len(size), near.first[same], near.second[same])[kinds.inverse]
    has_changed = np.zeros(len(size), bool)
    has_changed[family[are_changed]] = True
    found: BoolArray = has_changed[family]
    return found


def with_rows_again(drawn: Rows, some: IntArray, again: Rows) -> Rows:
    """
    All rows of a layer; those that were not looked for again come first.

    Args:
        drawn: Rows of n openings as they were.
        some: Openings of which rows were found again; each row is all of them or has none. Shape (k,).
        again: Those rows; its openings are rows of `some`.
    """
    is_again = np.zeros(len(drawn.row), bool)
    is_again[some] = True
    kept = ~is_again[drawn.member[offsets(drawn.row_count)[:-1]]]
    number = np.append(np.where(kept, np.cumsum(kept) - 1, -1), -1)  # row -1 stays -1
    behind = np.append(int(np.count_nonzero(kept)) + np.arange(len(again)), -1)
    columns = {name: getattr(drawn, name).copy() for name in _OF_OPENINGS}
    columns |= {"row": number[drawn.row], "other_row": number[drawn.other_row]}
    anew = {name: getattr(again, name) for name in _OF_OPENINGS}
    anew |= {"row": behind[again.row], "other_row": behind[again.other_row]}
    for name, column in columns.items():
        column[some] = anew[name]
    of_rows = {name: np.concatenate([getattr(drawn, name)[kept], getattr(again, name)]) for name in _OF_ROWS}
    member = drawn.member[np.repeat(kept, drawn.row_count)]
    return replace(drawn, **columns, **of_rows, member=np.concatenate([member, some[again.member]]))


_OF_OPENINGS: Final = ("order", "pitch_mm", "extent_mm", "beside_mm", "beside_extent_mm")
_OF_ROWS: Final = ("row_pitch_mm", "row_direction_rad", "row_count")
