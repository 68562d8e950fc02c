"""Openings with errors, made as remedies say: what failed is mended, and nothing else."""

from functools import partial
from typing import Final

import numpy as np

from pastecheck.checks import catalogue
from pastecheck.judge import failures_of
from pastecheck.judge.readings import judged_rules
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import are_moved
from pastecheck.remedies import remedies
from pastecheck.rulesets import RuleSet
from pastecheck.trim.plan import LEAST_CHANGE_MM, Held, Plan, Why

_INCH_ROUNDING_MM: Final = 1e-5
"""What is rounded where a file in inches is written and read."""


def plan_errors(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan the remedies of openings that have errors.

    Without leave to grow, only what makes them smaller; of the others it is noted what holds them.
    """
    entry = rule_set.trim.errors
    if entry is None:
        return
    m, rules = judged_rules(m, rule_set.rules, catalogue())
    has_error = np.zeros(len(m.openings) + 1, bool)  # the last is for what is of no opening
    for one in rules:
        for opening in one.failure.failed.pairs:
            has_error[opening[one.failure.is_error]] = True
    if not has_error[:-1].any():
        return
    found = remedies(m, rule_set, [one.failure for one in rules], partial(failures_of, rules))
    inset_mm = found.changed.inset_mm
    mends = has_error[:-1] & are_moved(inset_mm, LEAST_CHANGE_MM)
    if m.openings.in_inches:  # sizes that are just enough in mm would be a hair too small
        inset_mm = np.where(inset_mm < 0, inset_mm - _INCH_ROUNDING_MM, inset_mm)
    grows = (inset_mm < 0).any(axis=(1, 2))
    may = mends & (~grows | entry.grow)
    plan.inset_mm[may] = inset_mm[may]
    plan.why[may] = Why.ERRORS
    is_free = plan.held == Held.NOTHING
    plan.held[is_free & mends & ~may] = Held.GROWTH
    plan.held[is_free & has_error[:-1] & ~mends] = Held.NO_SIZE
