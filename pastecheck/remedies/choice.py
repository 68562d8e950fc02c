"""Which changes of size are granted: of what was proposed what breaks no limit, all changes made together."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.dissolve import connected
from pastecheck.measurements.changed import Changed, are_moved
from pastecheck.remedies.aims import CLEAN, NO_ERROR, LevelArray
from pastecheck.remedies.proof import Proof

_ROUNDS: Final = 12
_LOOKS: Final = 3
"""After so many, what still objects is refused with all that is connected to it; after twice, everything."""

SecondLook = Callable[[Changed, Sequence[LevelArray], IntArray], BoolArray]
"""Tells which changed openings break a limit after all; told what level each may have. Shape (n,)."""
_AIMS: Final = (CLEAN, NO_ERROR)
STILL_WARNS: Final = 1
REFUSED: Final = len(_AIMS)


class Choice(NamedTuple):
    """What was granted."""

    changed: Changed
    aim: IntArray
    """Of each opening: 0 where nothing will be found, 1 where it still warns, 2 where nothing is granted."""
    levels: Sequence[LevelArray]
    """As of `Proof.levels`."""


def chosen(
    proof: Proof, proposed_mm: Sequence[FloatArray], unit: IntArray, second_look: SecondLook
) -> Choice:
    """
    The first change of each unit that breaks no limit and does what it is for.

    A change is judged with all others made as well, and given up for the next one, or for none, until nothing
    speaks against what is left.

    Args:
        proof: All limits in force.
        proposed_mm: Changes for each aim, as `Changed.inset_mm`; all 0 where there is none.
        unit: Openings that change together have equal numbers. Shape (n,).
        second_look: Measures what is left, when nothing that can be foreseen speaks against it.
    """
    count = len(unit)
    there = np.zeros((REFUSED + 1, count), bool)
    there[REFUSED] = True
    for aim, inset_mm in enumerate(proposed_mm):
        there[aim, unit[are_moved(inset_mm)]] = True
    aim_of = there.argmax(axis=0)  # of units, by their numbers
    as_drawn = Changed.as_drawn(proof.m)
    turns = looks = 0
    while True:
        aim = aim_of[unit]
        if (aim == REFUSED).all():
            return Choice(as_drawn, aim, [held.before for held in proof.held])
        changed = replace(as_drawn, inset_mm=_taken(proposed_mm, aim))
        levels = proof.levels(changed)
        against = proof.objections(
            changed, levels, [(each, aim == row) for row, each in enumerate(_AIMS)]
        ).against
        if not against.any():
            against = second_look(changed, levels, np.array([each.allowed for each in (*_AIMS, CLEAN)])[aim])
            if not against.any():
                granted = replace(changed)  # without the columns that it was judged by
                return Choice(granted, np.where(changed.is_changed, aim, REFUSED), levels)
            looks += 1
        refused = np.zeros(count, bool)
        refused[unit[against]] = True
        turns += 1
        if looks > 2 * _LOOKS:
            aim_of = np.full(count, REFUSED)
            continue
        if turns > _ROUNDS or looks > _LOOKS:
            aim_of = np.where(_with_connected(proof, changed, refused[unit], unit), REFUSED, aim_of)
            continue
        later = np.arange(REFUSED + 1)[:, None] > aim_of
        aim_of = np.where(refused, (there & later).argmax(axis=0), aim_of)


def _taken(proposed_mm: Sequence[FloatArray], aim: IntArray) -> FloatArray:
    """The change that each opening is to have."""
    taken_mm = np.zeros((len(aim), 2, 2))
    for row, inset_mm in enumerate(proposed_mm):
        rows = np.flatnonzero(aim == row)
        taken_mm[rows] = inset_mm[rows]
    return taken_mm


def _with_connected(proof: Proof, changed: Changed, refused: BoolArray, unit: IntArray) -> BoolArray:
    """Units that are refused, or connected with those by readings of changed openings. By their numbers."""
    nobody = np.zeros(0, np.int64)
    pairs = [(nobody, nobody), *(held.readings.pairs for held in proof.held)]
    first, second = (np.concatenate(each) for each in zip(*pairs, strict=True))
    both = changed.is_changed[first] & changed.is_changed[second]
    group = connected(len(unit), unit[first[both]], unit[second[both]])
    gone = np.zeros(len(unit), bool)
    gone[group[unit[refused]]] = True
    return gone[group]
