"""A changed layer measured anew: what no check could foresee, as rows that are none any more."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from pastecheck.check import NO_OPENING
from pastecheck.drawing import BoolArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.remade import remade
from pastecheck.remedies.aims import FAILS, WARNS, Failure, LevelArray
from pastecheck.remedies.proof import Proof

Judge = Callable[[Measurements, Sequence[int]], Iterable[Failure]]
"""Some of the checks in force, by their rows, on another layer; one after the other."""


def unforeseen(
    proof: Proof,
    failures: Sequence[Failure],
    judge: Judge,
    changed: Changed,
    levels: Sequence[LevelArray],
    allowed: IntArray,
) -> BoolArray:
    """
    Changed openings that make something fail, or leave something failing, that was not foreseen. Shape (n,).

    Measured by the checks that cannot foresee it (`Check.foresees`).

    Where the opening that fails is not changed itself, the nearest one that is has to answer for it.

    Args:
        proof: What was foreseen.
        failures: What failed as drawn.
        judge: Judges the layer with its changes made.
        changed: The changes.
        levels: Of all readings, as they were foreseen.
        allowed: The level that each opening may keep or get. Shape (n,).
    """
    against = np.zeros(len(allowed), bool)
    for row, after in _failures(proof, failures, judge, changed):
        before = failures[row]
        promised = _promised(before, proof.levels_of(before, levels), after, len(allowed))
        first, second = after.failed.pairs
        may_be = np.where(first == NO_OPENING, 0, np.maximum(allowed[first], allowed[second]))
        bad = np.flatnonzero(np.where(after.is_error, FAILS, WARNS) > np.maximum(promised, may_be))
        if not len(bad):
            continue
        if not after.is_of_openings:
            return changed.is_changed.copy()
        one, other = first[bad], second[bad]
        alone = ~(changed.is_changed[one] | changed.is_changed[other])
        blamed = np.concatenate([one, other, _nearest(changed, one[alone])])
        against[blamed[changed.is_changed[blamed]]] = True
    return against


def _failures(
    proof: Proof, failures: Sequence[Failure], judge: Judge, changed: Changed
) -> Iterator[tuple[int, Failure]]:
    """
    What fails in the changed layer, by the row of its check.

    Checks that foresee what becomes of rectangles only bound what becomes of outlines that are stretched: for
    those, and what is near them, they are asked as well.
    """
    anew = remade(changed)
    with_limits = [row for row, one in enumerate(failures) if one.limits]
    rows = [row for row in with_limits if not failures[row].check.foresees]
    yield from zip(rows, judge(anew, rows), strict=True)
    stretched = changed.is_changed & ~changed.m.are_rounded_rectangles
    if not stretched.any():
        return
    # what no change of size moves goes by more than what is near: bare lands would be found where none is
    rows = [row for row in with_limits if failures[row].check.foresees and failures[row].check.outlook]
    near = stretched.copy()
    for held in proof.held:
        first, second = held.readings.pairs
        near[second[stretched[first]]] = near[first[stretched[second]]] = True
    some = np.flatnonzero(near)
    for row, after in zip(rows, judge(anew.some(some), rows), strict=True):
        yield row, _of_all(after, some, stretched)


def _of_all(after: Failure, some: IntArray, told: BoolArray) -> Failure:
    """Failures of some openings, by their rows among all; only those that concern what is to be told of."""
    first, second = (some[opening] for opening in after.failed.pairs)
    kept = np.flatnonzero(told[first] | told[second])
    failed = after.failed.rows(kept)
    other = None if failed.other is None else second[kept]
    failed = replace(failed, opening=first[kept], other=other)
    return after._replace(failed=failed, is_error=after.is_error[kept])


def _promised(before: Failure, promised: LevelArray, after: Failure, count: int) -> IntArray:
    """What was promised of what fails now; 0, to pass, for what did not fail before."""
    known, asked = (first * count + second for first, second in (before.failed.pairs, after.failed.pairs))
    numbers, row = np.unique(np.concatenate([known, asked]), return_inverse=True)
    level = np.zeros(len(numbers), np.int64)
    np.maximum.at(level, row[: len(known)], promised)
    return level[row[len(known) :]]


def _nearest(changed: Changed, rows: IntArray) -> IntArray:
    """Of all changed openings the nearest to each of some."""
    candidates = np.flatnonzero(changed.is_changed)
    if not len(rows):
        return rows
    place_mm = changed.m.rectangles.middle_mm
    points = np.asarray(shapely.points(place_mm[candidates]), np.object_)
    tree = shapely.STRtree(points)
    return candidates[tree.nearest(shapely.points(place_mm[rows]))]
