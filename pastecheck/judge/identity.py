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
from typing import NamedTuple

import numpy as np

from pastecheck.check import NO_OPENING, Check, Readings, TextArray
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct, distinct_rows, within_runs
from pastecheck.report import steps_of_10_um
from pastecheck.units import NM_PER_MM


class Identity(NamedTuple):
    """By what the openings of a layer, and places in it, are known again."""

    names: TextArray
    """Of each opening that is in a finding: its component, and its place to 10 um; else None. Shape (n,)."""
    origin_mm: FloatArray
    """The lower left corner of the middles of all openings. Shape (2,)."""


def fingerprints(
    rule: str, check: Check, identity: Identity, failed: Readings, place_mm: FloatArray
) -> list[str]:
    """
    A name for each finding of a rule, unique within the layer.

    Args:
        rule: Id of the check.
        check: What was measured.
        identity: Of the layer.
        failed: Readings past a limit, k of them.
        place_mm: Their places; only those of no opening matter. Shape (k, 2).
    """
    bare = failed.opening == NO_OPENING
    one = identity.names[failed.opening]
    steps = steps_of_10_um(place_mm[bare] - identity.origin_mm) / 100
    one[bare] = "" if check.of_layer else [f"@{x:.2f},{y:.2f}" for x, y in steps.tolist()]
    if failed.other is None:
        return _told_apart([f"{rule} {each}".rstrip() for each in one.tolist()], failed)
    two = identity.names[failed.other].tolist()
    both = zip(one.tolist(), two, strict=True)
    return _told_apart([f"{rule} {a} {b}" if a < b else f"{rule} {b} {a}" for a, b in both], failed)


def _told_apart(names: list[str], failed: Readings) -> list[str]:
    """Names, the second of those that are equal marked #2, and so on: an opening may lie on several lands."""
    if len(set(names)) == len(names):
        return names
    _, kind = np.unique(names, return_inverse=True)
    order = np.argsort(failed.values, kind="stable")
    rank = np.empty(len(names), np.int64)
    rank[order] = _ranks(kind[order])
    return [f"{name}#{nth + 1}" if nth else name for name, nth in zip(names, rank.tolist(), strict=True)]


def identity_of(m: Measurements, failed: Sequence[Readings]) -> Identity:
    """
    Names for all openings that are in a finding.

    Of openings at one place (one within the other) the second is marked #2, the smallest being the first.
    """
    label = m.openings.label
    place_nm = np.rint(m.centroid_mm * NM_PER_MM).astype(np.int64)
    corner_nm = np.full((len(m.openings.labels), 2), np.iinfo(np.int64).max)
    for axis in (0, 1):
        np.minimum.at(corner_nm[:, axis], label, place_nm[:, axis])
    own_nm = np.array([column.min() for column in place_nm.T])
    corner_nm[[text == "" for text in m.openings.labels]] = own_nm
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
    return Identity(names, own_nm / NM_PER_MM)


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
