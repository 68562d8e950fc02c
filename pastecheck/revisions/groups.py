"""Changes of openings put together as a person would tell them: one line for all that was done alike."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.ragged import distinct_rows, offsets
from pastecheck.report import OpeningTable, steps_of_10_um
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
    """Where they are, or were: min x, min y, max x, max y."""


class _Columns:
    """What changes are told by; columns of k rows."""

    def __init__(self, layer: LayerComparison) -> None:
        changes = layer.changes
        self.in_old = changes.old >= 0
        self.in_new = changes.new >= 0
        self.old = _of(layer.old.table if layer.old else None, changes.old)
        self.new = _of(layer.new.table if layer.new else None, changes.new)
        self.is_named = np.where(self.in_new, self.new[:, 0], self.old[:, 0])
        self.key = distinct_rows(
            np.column_stack(
                [
                    changes.kind,
                    self.is_named,
                    self.old[:, 1:],
                    self.new[:, 1:],
                    steps_of_10_um(changes.moved_mm),
                ]
            )
        ).inverse


def _of(table: OpeningTable | None, rows: IntArray) -> IntArray:
    """Whether a component is named, and the size in steps of 10 um; -1 where there is no opening."""
    if table is None:
        return np.full((len(rows), 4), -1)
    columns = np.column_stack(
        [
            np.array([bool(text) for text in table.labels], np.int64)[table.label],
            steps_of_10_um(table.width_mm),
            steps_of_10_um(table.length_mm),
            table.is_round,
        ]
    )
    nothing = np.full((1, 4), -1)
    return np.append(columns, nothing, axis=0)[rows]


def groups(layer: LayerComparison) -> tuple[Group, ...]:
    """
    The changes of a layer, by kind, and the largest group first.

    Cost:
        Some sorting of the changes and openings; each group takes a look at its own changes.
    """
    changes = layer.changes
    if not len(changes.kind):
        return ()
    key = _Columns(layer).key
    order = np.argsort(key, kind="stable")
    ends = offsets(np.bincount(key)).tolist()
    families = {"old": _families(layer.old.table if layer.old else None)}
    families["new"] = _families(layer.new.table if layer.new else None)
    told = [_told(layer, order[a:b], families) for a, b in pairwise(ends)]
    rank = {kind: row for row, kind in enumerate(KINDS)}
    return tuple(sorted(told, key=lambda one: (rank[one.kind], -one.count, one.within_mm)))


def _families(table: OpeningTable | None) -> IntArray:
    """A number for the openings of a component and size, and how many there are. Shape (n, 2)."""
    if table is None:
        return np.zeros((0, 2), np.int64)
    size = steps_of_10_um(table.width_mm), steps_of_10_um(table.length_mm)
    family = distinct_rows(np.column_stack([table.label, *size, table.is_round])).inverse
    return np.column_stack([family, np.bincount(family)[family]])


def _told(layer: LayerComparison, rows: IntArray, families: dict[str, IntArray]) -> Group:
    changes: Changes = layer.changes
    kind = KINDS[int(changes.kind[rows[0]])]
    where, which = (
        (layer.new, changes.new[rows]) if kind is not Kind.REMOVED else (layer.old, changes.old[rows])
    )
    whose, those = (layer.new, changes.new[rows]) if kind is Kind.ADDED else (layer.old, changes.old[rows])
    if where is None or whose is None:
        raise ValueError("an opening is of no layer")
    table = where.table
    names = {table.labels[row] for row in np.unique(table.label[which]).tolist()} - {""}
    family = families["new" if kind is Kind.ADDED else "old"][those]
    _, first = np.unique(family[:, 0], return_index=True)
    x_mm, y_mm = table.x_mm[which], table.y_mm[which]
    old, new = int(changes.old[rows[0]]), int(changes.new[rows[0]])
    moved = np.median(changes.moved_mm[rows], axis=0).tolist()
    return Group(
        kind=kind,
        count=len(rows),
        among=int(family[first, 1].sum()),
        components=tuple(sorted(names, key=natural)),
        rows=None if names else rows_of(table, which),
        old=_size(layer.old.table, old) if layer.old and old >= 0 else None,
        new=_size(layer.new.table, new) if layer.new and new >= 0 else None,
        moved_mm=(moved[0], moved[1]),
        within_mm=(float(x_mm.min()), float(y_mm.min()), float(x_mm.max()), float(y_mm.max())),
    )


def _size(table: OpeningTable, row: int) -> Size:
    return Size(float(table.width_mm[row]), float(table.length_mm[row]), is_round=bool(table.is_round[row]))
