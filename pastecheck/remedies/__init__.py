"""
What to do about findings: the figures that checks wish for, held against all limits of the rule set.

A remedy never breaks another limit, as far as the checks can tell (`Check.outlook`). First a change is looked
for after which nothing is found any more; where there is none, and the finding is an error, one that leaves
only warnings, and then the remedy says so. All changes are judged together, as if all were made.

All findings about one opening carry the same remedy, the largest of the changes they wish for. Like openings
that are too close to each other change alike, as a row does, and their webs carry the same remedy as they do.
Figures are rounded to the safe side.
"""

from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from pastecheck.check import TextArray
from pastecheck.drawing import BoolArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.remedies.aims import CLEAN, NO_ERROR, Failure, LevelArray, Wishes
from pastecheck.remedies.case import Case, texts_of
from pastecheck.remedies.choice import STILL_WARNS, chosen
from pastecheck.remedies.conflicts import conflicts
from pastecheck.remedies.foils import Foils, foils
from pastecheck.remedies.proof import Proof, proof
from pastecheck.remedies.proposals import Parties, Proposal, nearer_mm, parties, proposal
from pastecheck.remedies.second_look import Judge, unforeseen
from pastecheck.remedies.squares import with_squares
from pastecheck.remedies.wishes import wanted
from pastecheck.rulesets import RuleSet

__all__ = ["Failure", "Remedies", "remedies"]


class Remedies(NamedTuple):
    """What to do, in words and as columns."""

    texts: tuple[TextArray, ...]
    """For each failed reading of each check; empty where nothing was wished for."""
    changed: Changed
    """The layer as it would be with all changes of size made."""
    still_warns: BoolArray
    """Whether the change of an opening leaves a warning. Shape (n,)."""
    foils: Foils
    """Foils that would do instead, each for one opening."""
    levels: tuple[LevelArray, ...]
    """What would become of each failed reading: 0 passes, 1 warns, 2 is an error still."""


def remedies(m: Measurements, rule_set: RuleSet, failures: Sequence[Failure], judge: Judge) -> Remedies:
    """
    What to do about each failed reading, and what the openings would be then.

    Args:
        m: The layer as drawn.
        rule_set: What it is held against.
        failures: All checks in force, and what failed.
        judge: The same checks on another layer: what no check could foresee is measured.
    """
    if not any(len(failure.rows) for failure in failures):
        return _nothing(m, failures)
    wishes = with_squares(m, failures, [failure.wishes(m, CLEAN) for failure in failures], judge)
    of, limits, proposals, other_foils = _proposed(m, failures, wishes)
    look = partial(unforeseen, limits, failures, judge)
    choice = chosen(limits, [each.inset_mm for each in proposals], of.unit, look)
    after = tuple(limits.levels_of(failure, choice.levels) for failure in failures)
    case = Case(m, failures, wishes, of, choice, after)
    why = conflicts(limits, proposals[1], choice.changed, of.unit, case.has_errors)
    words = texts_of(case, other_foils, why, rule_set, tuple(held.check.quantity for held in limits.held))
    return Remedies(words, choice.changed, choice.aim == STILL_WARNS, other_foils, after)


def _proposed(
    m: Measurements, failures: Sequence[Failure], wishes: Sequence[Wishes]
) -> tuple[Parties, Proof, list[Proposal], Foils]:
    """Who changes together, all limits in force, and what would end all findings or all errors."""
    clean = wanted(m, CLEAN, failures, wishes)
    no_error = wanted(m, NO_ERROR, failures, [failure.wishes(m, NO_ERROR) for failure in failures])
    of = parties(m, clean)
    limits = proof(m, failures, wishes, nearer_mm(of, clean, no_error))
    both = (clean, CLEAN), (no_error, NO_ERROR)
    proposals = [proposal(of, want, limits.keeps(aim)) for want, aim in both]
    return of, limits, proposals, foils(limits, (clean, no_error))


def _nothing(m: Measurements, failures: Sequence[Failure]) -> Remedies:
    """Nothing failed."""
    nobody = np.zeros(len(m.openings), np.int64)
    texts = tuple(np.zeros(0, np.object_) for _ in failures)
    levels = tuple(np.zeros(0, np.int8) for _ in failures)
    return Remedies(texts, Changed.as_drawn(m), nobody.astype(bool), Foils(*[nobody] * 5), levels)
