"""Leads in rows: narrowed for the gap, as far as film and cutter can follow and the joint gets its paste."""

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import RowTrim
from pastecheck.trim.floors import error_limit, least_of_volume_mm, least_width_mm, reference_mm3
from pastecheck.trim.plan import LEAST_CHANGE_MM, Held, Plan, Why, axis_along, sides_mm
from pastecheck.trim.steps import stepped_down, stepped_up


def plan_rows(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan what becomes of leads whose gap is small.

    Their width is min(drawn, max(share x pitch, pitch - gap)), and no less than the error limits and the
    least volume allow. Where the web would still be an error, it is given what those leave; where they leave
    too little, the opening stays as it was.
    """
    entry = rule_set.trim.rows
    if entry is None:
        return
    rows = np.flatnonzero(m.are_leads & ~np.isnan(m.direction_rad))
    rows = rows[m.rows.gap_mm[rows] < entry.gaps_below_mm]
    pitch_mm = m.rows.pitch_mm[rows]
    axis = axis_along(m, rows, m.rows.row_direction_rad[m.rows.row[rows]])
    across_mm, along_mm = (sides_mm(m)[rows, each] for each in (axis, 1 - axis))
    asked_mm = _asked_mm(entry, pitch_mm)
    least_mm = stepped_up(least_width_mm(m, rule_set, rows, across_mm, along_mm), entry.step_mm)
    volume_mm = stepped_up(_of_volume_mm(m, rule_set, rows, across_mm, along_mm), entry.step_mm)
    webs_mm = stepped_down(pitch_mm - error_limit(rule_set, "web-width"), entry.step_mm)
    floor_mm = np.maximum(least_mm, volume_mm)
    new_mm = np.maximum(np.minimum(asked_mm, webs_mm), floor_mm)
    held = np.where(least_mm >= volume_mm, Held.WIDTH, Held.VOLUME)
    held = np.where((floor_mm > asked_mm) & (across_mm > asked_mm + LEAST_CHANGE_MM), held, Held.NOTHING)
    is_left = (new_mm > webs_mm) & (across_mm > webs_mm)
    held = np.where(is_left, Held.LEFT, held)
    off_mm = np.where(is_left, 0.0, across_mm - new_mm)
    off_mm = np.where(off_mm > LEAST_CHANGE_MM, off_mm, 0.0)
    plan.inset_mm[rows, axis, :] = off_mm[:, None] / 2
    plan.why[rows[off_mm > 0]] = Why.ROWS
    plan.held[rows] = held
    plan.wanted_mm[rows] = np.where(held == Held.NOTHING, np.nan, asked_mm)


def _asked_mm(entry: RowTrim, pitch_mm: FloatArray) -> FloatArray:
    return stepped_down(np.maximum(entry.share_of_pitch * pitch_mm, pitch_mm - entry.gap_mm), entry.step_mm)


def _of_volume_mm(
    m: Measurements, rule_set: RuleSet, rows: IntArray, across_mm: FloatArray, along_mm: FloatArray
) -> FloatArray:
    """The width at which a joint gets the least that it is given; 0 where the rule set says nothing."""
    reference = rule_set.trim.reference
    if reference is None:
        return np.zeros(len(rows))
    wanted_mm3 = reference.least_share * reference_mm3(reference, m.rows.pitch_mm[rows], along_mm)
    return least_of_volume_mm(m, rows, wanted_mm3, across_mm, along_mm)
