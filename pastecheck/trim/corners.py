"""Corners of rectangles rounded, where they are sharper than the rule set asks."""

import numpy as np

from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.trim.plan import LEAST_CHANGE_MM, Plan, Why


def plan_corners(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """Write into the plan which rectangles get round corners; their radius is at most half their width."""
    entry = rule_set.trim.corners
    if entry is None:
        return
    drawn_mm = m.openings.shapes.radius_mm[m.openings.shape]
    half_mm = (m.width_mm - plan.inset_mm[:, 1].sum(axis=1)) / 2
    sharper = drawn_mm < np.minimum(entry.radius_mm, half_mm) - LEAST_CHANGE_MM
    rows = np.flatnonzero(m.are_rounded_rectangles & sharper & ~plan.is_split)
    plan.corner_mm[rows] = entry.radius_mm
    plan.why[rows] = np.where(plan.why[rows] == Why.UNCHANGED, Why.CORNERS, plan.why[rows])
