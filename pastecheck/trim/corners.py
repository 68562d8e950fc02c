"""Corners rounded, where they are sharper than the rule set asks."""

from collections.abc import Sequence
from functools import partial
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import IntArray
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.width import turned_rectangles
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.trim.offsets import rounded_within
from pastecheck.trim.plan import LEAST_CHANGE_MM, Outline, Plan, Why

_READ: Final = 0.05
"""Share by which the radius of a corner may be misread where it is flattened."""
_LINE_MM: Final = 1e-9


def plan_corners(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan which openings get round corners.

    Rectangles in closed form, with a radius of at most half their width. Others lose what a disc of the
    radius cannot reach from within; they are left alone where they are narrower than the disc.
    """
    entry = rule_set.trim.corners
    if entry is None:
        return
    plain, radius_mm = m.are_rounded_rectangles, entry.radius_mm
    drawn_mm = m.openings.shapes.radius_mm[m.openings.shape]
    sharper = plan.is_free & (drawn_mm < np.minimum(radius_mm, m.width_mm / 2) - LEAST_CHANGE_MM)
    shape, rows = m.openings.shape, np.flatnonzero(plain & sharper)
    plan.redraw(shape, rows, partial(_rectangles, m, radius_mm), Why.CORNERS)
    others = plan.is_free & ~plain
    if others.any():
        with np.errstate(invalid="ignore"):
            others &= m.insides.corner_radius_mm < radius_mm * (1 - _READ) - LEAST_CHANGE_MM
            others &= np.fmin(m.insides.necks.width_mm, m.width_mm) > 2 * radius_mm
    plan.redraw(shape, np.flatnonzero(others), partial(_others, m, radius_mm), Why.CORNERS)


def _rectangles(m: Measurements, radius_mm: float, rows: IntArray) -> Sequence[Outline]:
    """One for each of some openings, about its origin."""
    shapes, kind = m.openings.shapes, m.openings.shape[rows]
    sides = turned_rectangles(shapes.core[kind], shapes.radius_mm[kind], shapes.tolerance_mm[kind])
    corner_mm = np.minimum(radius_mm, sides.width_mm / 2)
    half_mm = np.column_stack([sides.length_mm, sides.width_mm]) / 2 - corner_mm[:, None]
    half_mm = np.where(half_mm < _LINE_MM, 0.0, half_mm)
    middle_mm = shapely.get_coordinates(shapely.centroid(shapes.core[kind]))
    cores = Rectangles(middle_mm, half_mm, np.nan_to_num(sides.direction_rad)).drawn()
    return [Outline(core, corner, 0.0) for core, corner in zip(cores, corner_mm.tolist(), strict=True)]


def _others(m: Measurements, radius_mm: float, rows: IntArray) -> Sequence[Outline | None]:
    drawn = m.openings.shapes.outline[m.openings.shape[rows]]
    made = [rounded_within(outline, radius_mm) for outline in drawn]
    return [None if one is None else Outline(one, 0.0, FLATNESS_MM) for one in made]
