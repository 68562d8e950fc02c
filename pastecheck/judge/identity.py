"""Names of findings that keep when a board is drawn anew, moved or renumbered."""

from collections.abc import Iterator, Sequence

import numpy as np

from pastecheck.check import NO_OPENING, Readings, TextArray
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows, within_runs
from pastecheck.report import steps_of_10_um
from pastecheck.units import NM_PER_MM


def fingerprints(check: str, identity: TextArray, failed: Readings, place_mm: FloatArray) -> list[str]:
    """A name for each finding that does not change when rows do."""
    bare = failed.opening == NO_OPENING
    steps = steps_of_10_um(place_mm[bare]) / 100
    one = identity[failed.opening]
    one[bare] = [f"@{x:.2f},{y:.2f}" for x, y in steps.tolist()]
    if failed.other is None:
        return _told_apart([f"{check} {each}" for each in one.tolist()], failed)
    two = identity[failed.other].tolist()
    both = zip(one.tolist(), two, strict=True)
    return [f"{check} {a} {b}" if a < b else f"{check} {b} {a}" for a, b in both]


def _told_apart(names: list[str], failed: Readings) -> list[str]:
    """Names, the second of those that are equal marked #2, and so on: an opening may lie on several lands."""
    _, first, kind = np.unique(names, return_index=True, return_inverse=True)
    if len(first) == len(names):
        return names
    order = np.argsort(failed.values, kind="stable")
    rank = np.empty(len(names), np.int64)
    rank[order] = _ranks(kind[order])
    return [f"{name}#{nth + 1}" if nth else name for name, nth in zip(names, rank.tolist(), strict=True)]


def identities(m: Measurements, failed: Sequence[Readings]) -> TextArray:
    """
    A name for each opening that is in a finding: its component, and its place to 10 um.

    The place is counted from the lower left corner of the component's openings (of their centroids), so that
    it keeps when a part or a whole board is moved; without a component it is the place in the layer. Of
    openings at one place the second is marked #2, and so on. Shape (n,); None for all others.
    """
    label = m.openings.label
    place_nm = np.rint(m.centroid_mm * NM_PER_MM).astype(np.int64)
    corner_nm = np.full((len(m.openings.labels), 2), np.iinfo(np.int64).max)
    for axis in (0, 1):
        np.minimum.at(corner_nm[:, axis], label, place_nm[:, axis])
    corner_nm[[text == "" for text in m.openings.labels]] = 0
    step = steps_of_10_um((place_nm - corner_nm[label]) / NM_PER_MM)
    rank = _ranks(distinct_rows(np.column_stack([label, step])).inverse)
    rows = np.unique(np.concatenate([np.zeros(0, np.int64), *_openings_in(failed)]))
    names = np.empty(len(label), np.object_)
    columns = (label[rows], step[rows, 0] / 100, step[rows, 1] / 100, rank[rows])
    names[rows] = [
        f"{m.openings.labels[of]}@{x:.2f},{y:.2f}" + (f"#{nth + 1}" if nth else "")
        for of, x, y, nth in zip(*(column.tolist() for column in columns), strict=True)
    ]
    return names


def _openings_in(failed: Sequence[Readings]) -> Iterator[IntArray]:
    for readings in failed:
        yield readings.opening[readings.opening != NO_OPENING]
        if readings.other is not None:
            yield readings.other


def _ranks(kind: IntArray) -> IntArray:
    """How many rows before each are of its kind. Shape (n,)."""
    order = np.argsort(kind, kind="stable")
    count = np.bincount(kind)
    rank = np.empty(len(kind), np.int64)
    rank[order] = within_runs(count)
    return rank
