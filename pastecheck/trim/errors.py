"""Openings with errors, made as remedies say: what failed is mended, and nothing else."""

import numpy as np

from pastecheck.judge import judged
from pastecheck.measurements import Measurements
from pastecheck.report import Level
from pastecheck.rulesets import RuleSet
from pastecheck.trim.plan import Plan, Why


def plan_errors(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan the remedies of openings that have errors.

    Without leave to grow, only what makes them smaller.
    """
    entry = rule_set.trim.errors
    if entry is None:
        return
    found = judged(m, rule_set)
    has_error = np.zeros(len(m.openings), bool)
    for outcome in found.outcomes:
        for finding in outcome.findings:
            if finding.level is Level.ERROR:
                rows = [row - 1 for row in (finding.opening, finding.other) if row]
                has_error[rows] = True
    inset_mm = found.remedies.changed.inset_mm
    may = has_error & (entry.grow | (inset_mm >= 0).all(axis=(1, 2)))
    plan.inset_mm[may] = inset_mm[may]
    plan.why[may & (inset_mm != 0).any(axis=(1, 2))] = Why.ERRORS
