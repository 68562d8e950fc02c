"""What becomes of openings in no row: chips, and what the rule set selects. Done once, not again."""

from collections.abc import Mapping, Sequence
from fnmatch import fnmatchcase
from functools import partial
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import SelectedTrim
from pastecheck.trim.floors import least_width_mm
from pastecheck.trim.offsets import inset
from pastecheck.trim.plan import LEAST_CHANGE_MM, Outline, Plan, Why, sides_mm
from pastecheck.trim.steps import stepped_down

_STEP_MM: Final = 0.005


def plan_chips(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """Write into the plan what is taken off the inner edges of the two openings of parts."""
    entry = rule_set.trim.chips
    if entry is None:
        return
    parts = m.parts_of_two_lands
    for rows, others in ((parts.first, parts.second), (parts.second, parts.first)):
        free = _are_free(m, plan)[rows] & (m.length_mm[rows] > entry.longer_than_mm)
        rows, others = rows[free], others[free]  # noqa: PLW2901 -- fewer of the same
        way_mm = m.rectangles.rows(rows).seen(m.centroid_mm[others] - m.centroid_mm[rows])
        axis = np.abs(way_mm).argmax(axis=1)
        side_mm, other_mm = (sides_mm(m)[rows, each] for each in (axis, 1 - axis))
        floor_mm = least_width_mm(m, rule_set, rows, side_mm, other_mm)
        new_mm = np.maximum(stepped_down(entry.area_share * side_mm, entry.step_mm), floor_mm)
        off_mm = np.maximum(side_mm - new_mm, 0.0)
        end = (way_mm[np.arange(len(rows)), axis] > 0).astype(np.int64)
        plan.inset_mm[rows, axis, end] = off_mm
        plan.why[rows[off_mm > LEAST_CHANGE_MM]] = Why.CHIPS


def plan_selected(m: Measurements, rule_set: RuleSet, plan: Plan, found_by: Mapping[str, BoolArray]) -> None:
    """
    Write into the plan what the entries under `selected` ask for; the first that fits an opening counts.

    Args:
        m: The layer.
        rule_set: The entries, and the limits that no side is made shorter than.
        plan: What was planned before is left.
        found_by: By checks, which openings they find something of. Shape (n,).
    """
    for entry in rule_set.trim.selected:
        rows = np.flatnonzero(_are_free(m, plan) & _are_selected(m, entry, found_by))
        if entry.inset_mm and entry.area_share == 1:
            others = rows[~m.are_rounded_rectangles[rows]]
            plan.redraw(m.openings.shape, others, partial(_insets, m, entry.inset_mm), Why.SELECTED)
            rows = rows[m.are_rounded_rectangles[rows]]
        drawn_mm = sides_mm(m)[rows]
        new_mm = stepped_down(drawn_mm * np.sqrt(entry.area_share) - 2 * entry.inset_mm, _STEP_MM)
        if entry.area_share == 1:  # an inset is a length of its own, and needs no steps
            new_mm = drawn_mm - 2 * entry.inset_mm
        new_mm = np.minimum(new_mm, drawn_mm)
        floor_mm = least_width_mm(m, rule_set, rows, drawn_mm[:, 1], new_mm[:, 0])
        fits = (new_mm[:, 1] >= floor_mm) & (drawn_mm[:, 0] - new_mm[:, 0] > LEAST_CHANGE_MM)
        plan.inset_mm[rows] = np.where(fits[:, None], (drawn_mm - new_mm) / 2, 0.0)[:, :, None]
        plan.why[rows[fits]] = Why.SELECTED


def _insets(m: Measurements, by_mm: float, rows: IntArray) -> Sequence[Outline | None]:
    """All walls drawn in, about the origins of some openings."""
    shapes, kinds = m.openings.shapes, m.openings.shape[rows]
    columns = shapes.outline[kinds], np.maximum(shapes.tolerance_mm[kinds], FLATNESS_MM).tolist()
    made = [(inset(outline, by_mm), tolerance_mm) for outline, tolerance_mm in zip(*columns, strict=True)]
    return [None if outline is None else Outline(outline, 0.0, off_mm) for outline, off_mm in made]


def _are_free(m: Measurements, plan: Plan) -> BoolArray:
    """Which openings are in no row of leads, and nothing else is planned for."""
    return np.asarray(plan.is_free & ~m.are_leads)


def _are_selected(m: Measurements, entry: SelectedTrim, found_by: Mapping[str, BoolArray]) -> BoolArray:
    width_mm, length_mm = m.width_mm, m.length_mm
    fits = (width_mm > entry.wider_than_mm) & (width_mm < entry.narrower_than_mm)
    fits &= (length_mm > entry.longer_than_mm) & (length_mm < entry.shorter_than_mm)
    if entry.component:
        patterns = [pattern.strip() for pattern in entry.component.split(",")]
        labels = m.openings.labels
        known = [any(fnmatchcase(label, pattern) for pattern in patterns) for label in labels]
        fits &= np.array(known, bool)[m.openings.label] & (m.openings.label > 0)
    if entry.failed:
        fits &= found_by.get(entry.failed, np.zeros(len(fits), bool))
    return fits
