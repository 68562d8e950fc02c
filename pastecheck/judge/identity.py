"""
Names of findings that keep when a board is drawn anew, moved or renumbered.

A fingerprint is the check, and for each opening its component and its place, rounded to 10 um; a finding of a
bare land has the land's place, one of the layer as a whole has none. Places are counted from the lower left
corner of the component's openings (of their middles), without a component from that of all openings. Of equal
names the second is marked #2.

What a fingerprint survives:
    other rows, another drawing order, other units, other apertures, flashes drawn as regions; another origin;
    a component that was moved as a whole, with all that fails in it; other values, limits, foils and texts.

What it does not survive:
    a component that was renamed, or lost its name, or of which the lowest or leftmost opening was added,
    removed or moved; without components a new lowest or leftmost opening of the layer; an opening that was
    moved in its component; a layer that was mirrored or turned. And rounding: where an export moves places by
    up to d, one in 5 um / d of those that lie on no grid falls to another step. Steps end where no multiple
    of 2.5 um or of a twentieth of a mil lies, so what was placed on such a grid keeps.

So who compares two runs by fingerprints alone sees some findings as new that are not. `--known` and `compare`
look at places as well, and are not deceived by any of this but a mirrored layer.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from pastecheck.check import NO_OPENING, Check, Readings, TextArray
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct, distinct_rows, within_runs
from pastecheck.report import steps_of_10_um
from pastecheck.units import NM_PER_MM


def fingerprints(
    rule: str, check: Check, identity: TextArray, failed: Readings, bare_mm: FloatArray
) -> list[str]:
    """
    A name for each finding of a rule, unique within the layer.

    Args:
        rule: Id of the check.
        check: What was measured.
        identity: Names of openings.
        failed: Readings past a limit, k of them.
        bare_mm: Their places, from the layer's own origin; only those of no opening matter. Shape (k, 2).
    """
    bare = failed.opening == NO_OPENING
    one = identity[failed.opening]
    steps = steps_of_10_um(bare_mm[bare]) / 100
    one[bare] = "" if check.of_layer else [f"@{x:.2f},{y:.2f}" for x, y in steps.tolist()]
    if failed.other is None:
        return _told_apart([f"{rule} {each}".rstrip() for each in one.tolist()], failed)
    two = identity[failed.other].tolist()
    both = zip(one.tolist(), two, strict=True)
    return _told_apart([f"{rule} {a} {b}" if a < b else f"{rule} {b} {a}" for a, b in both], failed)


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

    Of openings at one place (one within the other) the second is marked #2, the smallest being the first.
    Shape (n,); None for all others.
    """
    label = m.openings.label
    place_nm = _middles_nm(m)
    corner_nm = np.full((len(m.openings.labels), 2), np.iinfo(np.int64).max)
    for axis in (0, 1):
        np.minimum.at(corner_nm[:, axis], label, place_nm[:, axis])
    corner_nm[[text == "" for text in m.openings.labels]] = place_nm.min(axis=0)
    step = steps_of_10_um((place_nm - corner_nm[label]) / NM_PER_MM)
    by_area = np.argsort(m.area_mm2, kind="stable")
    rank = np.empty(len(label), np.int64)
    rank[by_area] = _ranks(distinct_rows(np.column_stack([label, step])[by_area]).inverse)
    rows = distinct(np.concatenate([np.zeros(0, np.int64), *_openings_in(failed)]))
    names = np.empty(len(label), np.object_)
    columns = (label[rows], step[rows, 0] / 100, step[rows, 1] / 100, rank[rows])
    names[rows] = [
        f"{m.openings.labels[of]}@{x:.2f},{y:.2f}" + (f"#{nth + 1}" if nth else "")
        for of, x, y, nth in zip(*(column.tolist() for column in columns), strict=True)
    ]
    return names


def own_origin_mm(m: Measurements) -> FloatArray:
    """The lower left corner of the middles of all openings. Shape (2,)."""
    corner_mm: FloatArray = _middles_nm(m).min(axis=0) / NM_PER_MM
    return corner_mm


def _middles_nm(m: Measurements) -> IntArray:
    middle_nm: IntArray = np.rint(m.centroid_mm * NM_PER_MM).astype(np.int64)
    return middle_nm


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
