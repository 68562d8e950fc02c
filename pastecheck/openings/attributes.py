"""Which attributes openings keep: of those in several pieces the ones in which all of the pieces agree."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from pastecheck.clusters import Clusters
from pastecheck.drawing import Attribute, AttributeSet, Drawing, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.gerber.attributes import component_of
from pastecheck.limits import Limits
from pastecheck.ragged import distinct, distinct_rows, distinct_runs, offsets, rows_of_runs


class Pieces(NamedTuple):
    """The objects that openings are drawn in, those of one opening behind those of another."""

    thing: IntArray
    """Row of the drawing. Shape (m,)."""
    begin: IntArray
    """Where the pieces of each opening begin. Shape (k,)."""


class Attached(NamedTuple):
    """Attributes of openings, as in `Openings`: first of those that stand alone, then of those in pieces."""

    of_object: IntArray
    of_aperture: IntArray
    object_sets: tuple[AttributeSet, ...]
    aperture_sets: tuple[AttributeSet, ...]


def attached_to(
    drawing: Drawing,
    clusters: Clusters,
    pieces: Pieces,
    told: tuple[IntArray, tuple[str, ...]],
    limits: Limits,
) -> Attached:
    """
    The attributes of openings.

    Args:
        drawing: What was drawn, with its attributes.
        clusters: Those of its objects that stand alone, and those that repeat others.
        pieces: Those that the other openings are drawn in.
        told: The label of each of these openings, and all labels. Attributes name no other component.
        limits: How many attributes are compared at most.

    Raises:
        TooMuchError: If pieces that differ have more attributes together.
    """
    objects, apertures = (_Sets(sets, limits) for sets in (drawing.object_sets, drawing.aperture_sets))
    of_object, changed = objects.with_repeats(drawing.of_object, clusters)
    if len(changed):
        of_object[changed] = objects.telling(of_object[changed], drawing.label[changed], drawing.labels)
    of_aperture, _ = apertures.with_repeats(drawing.of_aperture, clusters)
    in_pieces, mixed = objects.of_all(of_object, pieces)
    label, labels = told
    in_pieces[mixed] = objects.telling(in_pieces[mixed], label[mixed], labels)
    drawn_with, _ = apertures.of_all(of_aperture, pieces)
    return Attached(
        np.concatenate([of_object[clusters.alone], in_pieces]),
        np.concatenate([of_aperture[clusters.alone], drawn_with]),
        objects.sets,
        apertures.sets,
    )


class _Sets:
    """Sets of attributes of one kind: those of a drawing, and behind them those that pieces share."""

    def __init__(self, sets: tuple[AttributeSet, ...], limits: Limits) -> None:
        self._sets = list(sets)
        self._row: dict[AttributeSet, int] = {}
        self._most, self._count = limits.attributes, 0

    @property
    def sets(self) -> tuple[AttributeSet, ...]:
        return tuple(self._sets)

    def of_all(self, row: IntArray, pieces: Pieces) -> tuple[IntArray, IntArray]:
        """For each opening the row of what all its pieces have; and the openings whose pieces differ."""
        thing, begin = pieces
        if not len(begin):
            return begin, begin
        of_piece = row[thing]
        lowest, highest = np.minimum.reduceat(of_piece, begin), np.maximum.reduceat(of_piece, begin)
        mixed = np.flatnonzero(lowest < highest)
        found = np.where(lowest < highest, 0, lowest)
        some = mixed[lowest[mixed] > 0]
        if len(some):
            its, offset = _each_once(of_piece, np.append(begin, len(thing)), some)
            kinds = distinct_runs(its[:, None], offset)
            runs = [its[offset[run] : offset[run + 1]].tolist() for run in kinds.first.tolist()]
            found[some] = np.array([self._row_of(self._in_all(run)) for run in runs])[kinds.inverse]
        return found, mixed

    def with_repeats(self, row: IntArray, clusters: Clusters) -> tuple[IntArray, IntArray]:
        """The row of each thing, with what repeats it as a piece of it; and the things that this changes."""
        again, again_of = clusters.again, clusters.again_of
        differs = row[again] != row[again_of]
        if not differs.any():
            return row, again[:0]
        owner = np.tile(again_of[differs], 2)
        order = np.argsort(owner, kind="stable")
        thing = np.concatenate([again_of[differs], again[differs]])[order]
        owners = distinct(owner)
        row = row.copy()
        row[owners], _ = self.of_all(row, Pieces(thing, np.searchsorted(owner[order], owners)))
        return row, owners

    def telling(self, row: IntArray, label: IntArray, labels: tuple[str, ...]) -> IntArray:
        """Rows of the same sets, but of those that name the components in labels. Shape of the rows."""
        kinds = distinct_rows(np.column_stack([row, label]))
        pairs = zip(row[kinds.first].tolist(), label[kinds.first].tolist(), strict=True)
        told = [self._telling(its, labels[component]) for its, component in pairs]
        return np.array(told, np.int64)[kinds.inverse]

    def _telling(self, row: int, component: str) -> int:
        attributes = self._sets[row]
        if component_of(attributes) == component:
            return row
        others = [one for one in attributes if one.name != ".C"]
        return self._row_of(tuple(sorted([*others, Attribute("TO", ".C", (component,))])))

    def _in_all(self, rows: Sequence[int]) -> AttributeSet:
        first, *others = (self._sets[row] for row in rows)
        self._count += len(first) + sum(map(len, others))
        if self._count > self._most:
            what = f"openings are drawn in pieces that have {self._count} attributes together"
            raise TooMuchError(f"{what}; at most {self._most} are compared", "attributes", self._count)
        shared = set(first).intersection(*others)
        return tuple(one for one in first if one in shared)

    def _row_of(self, attributes: AttributeSet) -> int:
        if not self._row:
            self._row = {one: row for row, one in enumerate(self._sets)}
        row = self._row.setdefault(attributes, len(self._row))
        if row == len(self._sets):
            self._sets.append(attributes)
        return row


def _each_once(row: IntArray, offset: IntArray, some: IntArray) -> tuple[IntArray, IntArray]:
    """The different rows of some runs, in order and behind one another; and where each of these begins."""
    count = np.diff(offset)[some]
    owner = np.repeat(np.arange(len(some)), count)
    row = row[rows_of_runs(offset[some], count)]
    order = np.lexsort((row, owner))
    owner, row = owner[order], row[order]
    first = (np.diff(owner, prepend=-1) != 0) | (np.diff(row, prepend=-1) != 0)
    return row[first], offsets(np.bincount(owner[first], minlength=len(some)))
