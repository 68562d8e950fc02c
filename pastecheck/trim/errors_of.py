"""Errors of a layer, counted by what they are of, so that those of two states of it can be compared."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from pastecheck.check import NO_OPENING
from pastecheck.checks import catalogue
from pastecheck.drawing import BoolArray, IntArray
from pastecheck.judge.readings import JudgedRule, judged_rules
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet


class Found(NamedTuple):
    """What is found in a layer, told by the openings of the layer as drawn."""

    check: IntArray
    """Row of the rule. Shape (k,)."""
    first: IntArray
    """Shape (k,); `NO_OPENING` where a finding is of no opening."""
    second: IntArray
    """Not below the first; the same where a finding is of one opening."""
    is_error: BoolArray


def found_in(m: Measurements, rule_set: RuleSet, origin: IntArray) -> Found:
    """
    All findings, without what to do about them.

    Args:
        m: The layer.
        rule_set: What it is judged by.
        origin: For each opening the one that it is of, as drawn. Shape (n,).
    """
    rules = _judged(m, rule_set)
    of = np.append(origin, NO_OPENING)  # for NO_OPENING, the last row
    columns = [
        (np.full(len(one.failure.is_error), row), *(of[each] for each in one.failure.failed.pairs))
        for row, one in enumerate(rules)
    ]
    nobody = np.zeros(0, np.int64)
    check, first, second = (
        np.concatenate(column) for column in zip((nobody, nobody, nobody), *columns, strict=True)
    )
    is_error = np.concatenate([np.zeros(0, bool), *(one.failure.is_error for one in rules)])
    return Found(check, np.minimum(first, second), np.maximum(first, second), is_error)


def openings_found_by(m: Measurements, rule_set: RuleSet) -> Mapping[str, BoolArray]:
    """For each check the openings that it finds something of. Shape (n,) each."""
    found = {}
    for one in _judged(m, rule_set):
        of = np.zeros(len(m.openings) + 1, bool)  # the last is for what is of no opening
        for opening in one.failure.failed.pairs:
            of[opening] = True
        found[one.rule.check] = of[:-1]
    return found


def with_new_errors(before: Found, after: Found) -> BoolArray | None:
    """
    Which of the later findings are errors of a kind and place that had fewer before. Shape (k,).

    None where there is none.
    """
    both = [np.column_stack(each[:3])[each.is_error] for each in (before, after)]
    kinds, kind = np.unique(np.concatenate(both), axis=0, return_inverse=True)
    kind = kind.reshape(-1)
    earlier, later = (np.bincount(rows, minlength=len(kinds)) for rows in np.split(kind, [len(both[0])]))
    more = (later > earlier)[kind[len(both[0]) :]]
    if not more.any():
        return None
    new = np.zeros(len(after.check), bool)
    new[np.flatnonzero(after.is_error)[more]] = True
    return new


def _judged(m: Measurements, rule_set: RuleSet) -> list[JudgedRule]:
    return judged_rules(m, rule_set.rules, catalogue())[1]
