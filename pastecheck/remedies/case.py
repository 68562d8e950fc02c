"""All that is known of what failed and of what was granted, put together for words."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from pastecheck.check import Redraws, TextArray
from pastecheck.drawing import BoolArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct
from pastecheck.remedies.aims import Failure, LevelArray, Wishes, instead_of, word_for
from pastecheck.remedies.changes import Changes, Kind, changes_of
from pastecheck.remedies.choice import Choice
from pastecheck.remedies.conflicts import Conflicts
from pastecheck.remedies.foils import Foils
from pastecheck.remedies.proposals import Parties
from pastecheck.remedies.steps import stepped_mm, whole_um
from pastecheck.remedies.texts import (
    ERROR,
    NO_WISH,
    WARNING,
    Left,
    Words,
    joined,
    of_openings,
    of_pairs,
    sets_of_advice,
)
from pastecheck.rulesets import RuleSet

_AS_LARGE: Final = 0.01
"""Areas that differ by less are equal, as far as words go."""


@dataclass(frozen=True, eq=False)
class Case:
    """What failed, what was wished for, and what was granted."""

    m: Measurements
    failures: Sequence[Failure]
    wishes: Sequence[Wishes]
    """For each failure, to end all findings."""
    of: Parties
    choice: Choice
    after: tuple[LevelArray, ...]
    """The level of each failed reading when all changes are made."""

    @cached_property
    def has_errors(self) -> BoolArray:
        """Which openings have errors, alone or with others. Shape (n,)."""
        has = np.zeros(len(self.m.openings), bool)
        for failure in self.failures:
            if failure.is_of_openings:
                for opening in failure.failed.pairs:
                    has[opening[failure.is_error]] = True
        return has

    @cached_property
    def is_left(self) -> tuple[BoolArray, ...]:
        """Whether a reading fails as badly as before."""
        return tuple(
            level > failure.is_error for level, failure in zip(self.after, self.failures, strict=True)
        )

    @cached_property
    def left(self) -> tuple[IntArray, ...]:
        """What is left of each reading that should change: `NO_WISH` where advice is all that there is."""
        return tuple(
            np.where(
                is_left & ((wish.advice == "") | wish.are_of_size),
                np.where(failure.is_error, ERROR, np.where(_has_figures(wish), WARNING, NO_WISH)),
                NO_WISH,
            )
            for failure, wish, is_left in zip(self.failures, self.wishes, self.is_left, strict=True)
        )

    @cached_property
    def changes(self) -> Changes:
        """What was granted, in figures."""
        has_findings = np.zeros(len(self.m.openings), bool)
        for failure in self.failures:
            if failure.is_of_openings:
                for opening in failure.failed.pairs:
                    has_findings[opening] = True
        return changes_of(self.choice, self.of, has_findings)

    @cached_property
    def told_of_openings(self) -> tuple[BoolArray, ...]:
        """Whether what is said of the one opening does for the other, and for their pair."""
        return tuple(
            np.full(len(left), failure.is_of_openings)
            if failure.failed.other is None
            else self._are_alike(*failure.failed.pairs) & ((left != NO_WISH) | ~is_left)
            for failure, left, is_left in zip(self.failures, self.left, self.is_left, strict=True)
        )

    def _are_alike(self, first: IntArray, second: IntArray) -> BoolArray:
        told = np.maximum(*(self.changes.kind_of(opening) for opening in (first, second))) <= Kind.SHORTER
        same: BoolArray = (self.of.unit[first] == self.of.unit[second]) & told
        return same


def _has_figures(wish: Wishes) -> BoolArray:
    """Whether anything was wished for that is no advice."""
    return np.asarray(np.isfinite(np.stack(wish[:-2])).any(axis=0))


def texts_of(
    case: Case, foils: Foils, why: Conflicts, rule_set: RuleSet, quantities: tuple[str, ...]
) -> tuple[TextArray, ...]:
    """A text for each failed reading of each check."""
    left, sets = _left(case)
    thinner = case.m.openings.shape[foils.at_most_um > 0]
    several = len(distinct(thinner)) > 1
    words = Words(word_for(case.m.foil), instead_of(rule_set), quantities, sets, several)
    rows = _openings_of(case)
    texts = np.full(len(case.m.openings), "", np.object_)
    texts[rows] = of_openings(rows, case.changes, foils, why, left, words)
    return tuple(
        _texts_of(case, row, texts, words) if failure.is_of_openings else case.wishes[row].advice
        for row, failure in enumerate(case.failures)
    )


def _openings_of(case: Case) -> IntArray:
    """All openings that something is told of."""
    rows = [
        opening[told]
        for failure, told in zip(case.failures, case.told_of_openings, strict=True)
        for opening in failure.failed.pairs
    ]
    return distinct(np.concatenate([np.zeros(0, np.int64), *rows]))


def _left(case: Case) -> tuple[Left, tuple[str, ...]]:
    """What is left of each opening's findings, and what advice there is about it."""
    of_openings, of_pairs = np.full((2, len(case.m.openings)), NO_WISH)
    only_advice = np.ones(len(case.m.openings), bool)
    is_changed = case.choice.changed.is_changed
    told = tuple(zip(case.failures, case.wishes, case.left, case.told_of_openings, strict=True))
    for (failure, wish, left, tell), is_left in zip(told, case.is_left, strict=True):
        is_of_pairs = failure.failed.other is not None
        column = of_pairs if is_of_pairs else of_openings
        has_advice = (wish.advice != "").astype(bool)
        level = left if is_of_pairs else np.where(has_advice, NO_WISH, left)
        for opening in failure.failed.pairs:
            np.maximum.at(column, opening[tell], level[tell])
            # a change that leaves it does less than the advice
            does_less = is_left & is_changed[opening]
            only_advice[opening[tell & (~has_advice | does_less | is_of_pairs)]] = False
    kept = [
        tell & (is_left | only_advice[failure.failed.opening])
        for (failure, _, _, tell), is_left in zip(told, case.is_left, strict=True)
    ]
    kept, redraws = _most_redrawn(case, kept)
    advice = [wish.advice for wish in case.wishes]
    numbers, sets = sets_of_advice(len(only_advice), case.failures, advice, kept)
    return Left(of_openings, of_pairs, numbers, only_advice.astype(np.int64), redraws), sets


def _most_redrawn(case: Case, kept: Sequence[BoolArray]) -> tuple[list[BoolArray], IntArray]:
    """
    Advice that is still of use beside what draws an opening anew; and which openings are to be drawn anew.

    What is drawn anew for itself keeps its changes of size if it is in a pair that fails, as a row.
    """
    redrawn = np.zeros(len(case.m.openings), np.int64)
    in_pairs = np.zeros(len(case.m.openings), bool)
    for failure, keep, tell in zip(case.failures, kept, case.told_of_openings, strict=True):
        for opening in failure.failed.pairs:
            if failure.failed.other is None:
                np.maximum.at(redrawn, opening[keep], int(failure.check.redraws))
            else:
                in_pairs[opening[tell]] = True
    still = [
        keep & (redrawn[failure.failed.opening] <= failure.check.redraws)
        for failure, keep in zip(case.failures, kept, strict=True)
    ]
    return still, np.where((redrawn == Redraws.OPENING) & in_pairs, Redraws.NOTHING, redrawn)


def _texts_of(case: Case, row: int, texts: TextArray, words: Words) -> TextArray:
    """Of the failed readings of one check."""
    failure, wish = case.failures[row], case.wishes[row]
    first, second = failure.failed.pairs
    told, found = case.told_of_openings[row], texts[first]
    alone = np.flatnonzero(~told)
    if not len(alone):
        return found
    first, second, wish = first[alone], second[alone], wish.rows(alone)
    area_mm2 = case.m.area_mm2[np.stack([first, second])]
    as_large = np.abs(area_mm2[1] - area_mm2[0]) <= _AS_LARGE * area_mm2.max(axis=0)
    larger = np.where(as_large, 2, area_mm2.argmax(axis=0))
    odd = ~(case.of.has_size[first] & case.of.has_size[second]) & (wish.give_way_mm > 0)
    edges_mm = stepped_mm(np.where(odd, 2 * wish.give_way_mm, 0.0), upward=True)
    ended = ~case.is_left[row][alone]
    moves = (ended | np.isfinite(wish.give_way_mm))[:, None]
    figures = np.column_stack(
        [
            np.where(moves, case.changes.rows(first), 0),
            np.where(moves, case.changes.rows(second), 0),
            larger,
            case.left[row][alone],
            whole_um(edges_mm),
        ]
    )
    found[alone] = of_pairs(figures, words.instead)
    advised = alone[(~ended) & (wish.advice != "").astype(bool)]
    found[advised] = joined(found[advised], case.wishes[row].advice[advised])
    return found
