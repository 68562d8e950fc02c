"""A change of size, told in figures that words are made of."""

from enum import IntEnum
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.measurements.changed import Changed
from pastecheck.remedies.choice import STILL_WARNS, Choice
from pastecheck.remedies.proposals import Parties
from pastecheck.remedies.steps import whole_um
from pastecheck.remedies.wishes import like_ends
from pastecheck.units import UM_PER_MM, shown

_MANY: Final = 3
"""From so many openings of a row on, what is done to one is done to all of them."""


BOTH_ENDS: Final = 2
"""It is the other end of the part that does, of which nothing is found."""


class Kind(IntEnum):
    """What is done to an opening."""

    NONE = 0
    WIDER = 1
    RESIZED = 2
    """About its middle."""
    SHORTER = 3
    """So much that the longer side becomes the shorter one: sorted sides would not tell which."""
    ONE_SIDE = 4
    SEVERAL_SIDES = 5
    """Not by equal amounts."""


class Changes(NamedTuple):
    """What is done to each opening."""

    number: IntArray
    """Row of the figures of each opening; 0 for those that do not change. Shape (n,)."""
    figures: IntArray
    """
    Kind, width, length, the most that is taken off a side, whether it looks round, whether others change
    alike (0, 1 or `BOTH_ENDS`), and whether it still warns; lengths in whole micrometres. Shape (k + 1, 7),
    all 0 in row 0.
    """

    def rows(self, rows: IntArray) -> IntArray:
        """Figures of some openings. Shape (k, 7)."""
        return self.figures[self.number[rows]]

    def kind_of(self, rows: IntArray) -> IntArray:
        """What is done to some openings. Shape (k,)."""
        kind: IntArray = self.figures[self.number[rows], 0]
        return kind


def changes_of(choice: Choice, of: Parties, has_findings: BoolArray) -> Changes:
    """What was granted, and for which openings something was found. Shape (n,)."""
    changed, m = choice.changed, of.m
    rows = np.flatnonzero(changed.is_changed)
    ends_um, (long_mm, short_mm) = whole_um(changed.inset_mm[rows]), changed.sides_of(rows).T
    even = (ends_um[:, :, 0] == ends_um[:, :, 1]).all(axis=1)
    one_side = (ends_um != 0).sum(axis=(1, 2)) == 1
    shorter = (long_mm < short_mm - 1 / UM_PER_MM) & (ends_um[:, 1] == 0).all(axis=1)
    kind = np.select(
        [changed.grown_mm[rows] > 0, even & shorter, even, one_side],
        [Kind.WIDER, Kind.SHORTER, Kind.RESIZED, Kind.ONE_SIDE],
        Kind.SEVERAL_SIDES,
    )
    in_row = np.append(m.rows.row_count, 0)[m.rows.row[rows]] >= _MANY if len(rows) else even
    columns = (
        kind,
        whole_um(np.minimum(long_mm, short_mm)),
        whole_um(np.maximum(long_mm, short_mm)),
        ends_um.max(axis=(1, 2), initial=0),
        of.looks_round[rows],
        _many(changed, rows, of, in_row, has_findings),
        choice.aim[rows] == STILL_WARNS,
    )
    number = np.zeros(len(of.unit), np.int64)
    number[rows] = 1 + np.arange(len(rows))
    figures = np.column_stack(columns).astype(np.int64)
    return Changes(number, np.concatenate([np.zeros((1, len(columns)), np.int64), figures]))


def _many(
    changed: Changed, rows: IntArray, of: Parties, in_row: BoolArray, has_findings: BoolArray
) -> IntArray:
    """Whether others change as some openings do: 0, 1, or `BOTH_ENDS`. Shape (k,)."""
    in_unit = np.bincount(of.unit)[of.unit]
    many = np.zeros(len(of.unit), np.int64)
    many[rows] = (in_unit[rows] > 1) | in_row
    if (changed.grown_mm[rows] > 0).any():
        ends = like_ends(of.m)
        ends = ends[:, (of.unit[ends[0]] == of.unit[ends[1]]) & ~has_findings[ends].all(axis=0)].reshape(-1)
        in_rows = np.zeros(len(many), bool)
        in_rows[rows] = in_row
        many[ends[(in_unit[ends] == BOTH_ENDS) & ~in_rows[ends]]] = BOTH_ENDS
    return many[rows]


def in_words(figures: list[int], name: str = "") -> str:
    """
    What to do with an opening; nothing for no change.

    Args:
        figures: As `Changes.rows` has them.
        name: What to call the opening in a pair.
    """
    kind, width_um, length_um, off_um, looks_round, many, _ = figures
    size = size_of(width_um, length_um, looks_round)
    off = shown(off_um / UM_PER_MM, "mm")
    whom = name or ("them" if many else "it")
    match kind:
        case Kind.WIDER:
            both = " both openings of the part" if many == BOTH_ENDS else ""
            return f"{'enlarge' if looks_round else 'widen'}{both} to {size}"
        case Kind.RESIZED:
            return f"make {whom} {size}"
        case Kind.SHORTER:
            whose = f"the longer side of {name}" if name else f"{'their' if many else 'its'} longer side"
            return f"shorten {whose} to {shown(width_um / UM_PER_MM, 'mm')}"
        case Kind.ONE_SIDE:
            side = (
                f"{name}, on the side that faces the other" if name else "the side that faces its neighbour"
            )
            return f"take {off} off {side}"
        case Kind.SEVERAL_SIDES:
            return f"make {name or 'it'} {size}, taken off the sides that face its neighbours"
    return ""


def size_of(width_um: int, length_um: int, looks_round: int) -> str:
    """Two sides, or a diameter."""
    width, length = (shown(side / UM_PER_MM, "mm") for side in (width_um, length_um))
    return f"{width} across" if looks_round else f"{width.removesuffix(' mm')} x {length}"


def if_it_warns(still_warns: int) -> str:
    """The end of a remedy that leaves a warning."""
    return " (that still warns)" if still_warns else ""
