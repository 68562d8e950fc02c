"""Changes of openings put together as a person would tell them: one line for all that was done alike."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.ragged import distinct, distinct_rows, offsets
from pastecheck.report import NO_OPENINGS, LayerReport, steps_of_10_um
from pastecheck.reporters._told import Rows, Size, natural, rows_of
from pastecheck.revisions.comparison import KINDS, Changes, Kind, LayerComparison


@dataclass(frozen=True, slots=True)
class Group:
    """Openings of one size to which the same has happened, to 10 um."""

    kind: Kind
    count: int
    among: int
    """Openings of that size of the same components, whether they were changed or not."""
    components: tuple[str, ...]
    """In natural order; empty where the file names none."""
    rows: Rows | None
    """Those they are in; told of openings without component."""
    old: Size | None
    """None of what was added."""
    new: Size | None
    """None of what was removed."""
    moved_mm: tuple[float, float]
    within_mm: tuple[float, float, float, float]
    """Where they are, or would be in the new layer: min x, min y, max x, max y of their middles."""


class _Revision:
    """The openings of one revision, by what tells one from another."""

    def __init__(self, layer: LayerReport | None) -> None:
        self.table = NO_OPENINGS if layer is None else layer.table
        table = self.table
        size = [steps_of_10_um(table.width_mm), steps_of_10_um(table.length_mm), table.is_round]
        named = np.array([bool(text) for text in table.labels], np.int64)[table.label]
        self._told_by = np.column_stack([named, *size])
        family = distinct_rows(np.column_stack([table.label, *size])).inverse
        self._family, self._members = family, np.bincount(family)

    def told_by(self, rows: IntArray) -> IntArray:
        """Whether a component is named, and the size to 10 um; -1 where there is no opening. Shape (k, 4)."""
        return np.append(self._told_by, np.full((1, 4), -1), axis=0)[rows]

    def among(self, rows: IntArray) -> int:
        """How many openings the components of some have of their sizes."""
        return int(self._members[distinct(self._family[rows])].sum())

    def size(self, row: int) -> Size | None:
        """Of an opening; None where there is none."""
        if row < 0:
            return None
        table = self.table
        return Size(float(table.width_mm[row]), float(table.length_mm[row]), bool(table.is_round[row]))


def groups(layer: LayerComparison) -> tuple[Group, ...]:
    """
    The changes of a layer, by kind, and the largest group first.

    Cost:
        Some sorting of the changes and openings; each group takes a look at its own changes.
    """
    changes = layer.changes
    old, new = _Revision(layer.old), _Revision(layer.new)
    moved = steps_of_10_um(changes.moved_mm)
    alike = (changes.kind, old.told_by(changes.old), new.told_by(changes.new), moved)
    key = distinct_rows(np.column_stack(alike)).inverse
    order = np.argsort(key, kind="stable")
    ends = offsets(np.bincount(key)).tolist()
    way_mm = layer.way_mm or (0.0, 0.0)
    told = [_told(changes, order[a:b], (old, new), way_mm) for a, b in pairwise(ends)]
    return tuple(sorted(told, key=lambda one: (KINDS.index(one.kind), -one.count, one.within_mm)))


def _told(
    changes: Changes, rows: IntArray, both: tuple[_Revision, _Revision], way_mm: tuple[float, float]
) -> Group:
    old, new = both
    kind = KINDS[int(changes.kind[rows[0]])]
    in_old, in_new = changes.old[rows], changes.new[rows]
    table, there = (old.table, in_old) if kind is Kind.REMOVED else (new.table, in_new)
    names = {table.labels[row] for row in distinct(table.label[there]).tolist()} - {""}
    place_mm = np.column_stack([table.x_mm[there], table.y_mm[there]])
    if kind is Kind.REMOVED:
        place_mm += np.array(way_mm)
    moved_x, moved_y = np.median(changes.moved_mm[rows], axis=0).tolist()
    return Group(
        kind=kind,
        count=len(rows),
        among=new.among(in_new) if kind is Kind.ADDED else old.among(in_old),
        components=tuple(sorted(names, key=natural)),
        rows=None if names else rows_of(table, there),
        old=old.size(int(in_old[0])),
        new=new.size(int(in_new[0])),
        moved_mm=(moved_x, moved_y),
        within_mm=(*place_mm.min(axis=0).tolist(), *place_mm.max(axis=0).tolist()),
    )
