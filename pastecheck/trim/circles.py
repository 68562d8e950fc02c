"""Small circles as squares: a knife trails behind its axis, and follows straight sides more truly."""

from collections.abc import Sequence
from functools import partial

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import CircleTrim
from pastecheck.trim.floors import least_width_mm
from pastecheck.trim.plan import Held, Outline, Plan, Why
from pastecheck.trim.steps import stepped_down


def plan_circles(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """Write into the plan which circles become squares; those too small for that stay, and it is noted."""
    entry = rule_set.trim.circles
    if entry is None:
        return
    are_round = shapely.get_dimensions(m.openings.shapes.core)[m.openings.shape] == 0
    rows = np.flatnonzero(are_round & plan.is_free & (m.width_mm < entry.narrower_than_mm))
    side_mm = _side_mm(m, entry, rows)
    width_mm = m.width_mm[rows]
    fits = side_mm >= least_width_mm(m, rule_set, rows, side_mm, side_mm)
    is_sound = width_mm >= least_width_mm(m, rule_set, rows, width_mm, width_mm)
    plan.hold(rows[~fits & is_sound], Held.WIDTH, side_mm[~fits & is_sound])
    rows = rows[fits]
    plan.redraw(m.openings.shape, rows, partial(_squares, m, entry), Why.CIRCLES)


def _side_mm(m: Measurements, entry: CircleTrim, rows: IntArray) -> FloatArray:
    return stepped_down(entry.side_of_diameter * m.width_mm[rows], entry.step_mm)


def _squares(m: Measurements, entry: CircleTrim, rows: IntArray) -> Sequence[Outline]:
    """One for each of some openings, about its origin."""
    half_mm = _side_mm(m, entry, rows) / 2
    middle_mm = shapely.get_coordinates(m.openings.shapes.core[m.openings.shape[rows]])
    squares = Rectangles(middle_mm, np.column_stack([half_mm, half_mm]), np.zeros(len(rows))).drawn()
    return [Outline(square, 0.0, 0.0) for square in squares]
