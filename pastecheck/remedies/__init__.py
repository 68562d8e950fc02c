"""
What to do about findings: the figures that checks wish for, held against the other limits of the rule set.

A remedy never breaks another limit. First a change is looked for after which nothing is found any more; where
there is none, and the finding is an error, one that leaves only warnings, and then the remedy says so. All
findings about one opening carry the same remedy, the largest of the changes they wish for.

A wider opening takes all it grows from the nearest web, for its neighbour will grow as well; an opening in a
row gives way on both sides. The area ratio of another size is that of a rectangle, less if the opening is
worse than a rectangle as drawn. Figures are rounded to the safe side.
"""

from collections.abc import Sequence

import numpy as np

from pastecheck.check import NO_OPENING, TextArray
from pastecheck.measurements import Measurements
from pastecheck.remedies.aims import Aim, Failure, aim_of, finer_than, wish_of
from pastecheck.remedies.openings import of_openings
from pastecheck.remedies.pairs import of_pairs
from pastecheck.rulesets import RuleSet

__all__ = ["Failure", "TextArray", "remedies"]


def remedies(m: Measurements, rule_set: RuleSet, failures: Sequence[Failure]) -> tuple[TextArray, ...]:
    """
    What to do about each failed reading, in words; empty where no change of size or foil was wished for.

    Returns:
        One column a failure, of as many texts as it has readings.
    """
    aims = [aim_of(rule_set, still_warns=False), aim_of(rule_set, still_warns=True)]
    instead = f"use {finer_than(rule_set)}, or paste this part by hand"
    alone = [failure for failure in failures if _is_of_openings(failure)]
    rows, texts = of_openings(m, aims, alone, instead)
    return tuple(
        texts[np.searchsorted(rows, failure.failed.opening)]
        if _is_of_openings(failure)
        else _of_others(m, aims[0], failure)
        if failure.failed.other is None
        else of_pairs(m, aims, failure, failure.failed.other, instead)
        for failure in failures
    )


def _is_of_openings(failure: Failure) -> bool:
    """Whether readings are of one opening each; those of a check all are, or none is."""
    return failure.failed.other is None and not (failure.failed.opening == NO_OPENING).any()


def _of_others(m: Measurements, aim: Aim, failure: Failure) -> TextArray:
    """What to do about bare lands, or about the whole layer: what the check advises."""
    advice = wish_of(m, failure, aim).advice
    return np.full(len(failure.failed.values), "", np.object_) if advice is None else advice
