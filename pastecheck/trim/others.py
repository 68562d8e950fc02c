"""What becomes of openings in no row: chips, and what the rule set selects. Done once, not again."""

from collections.abc import Mapping, Sequence
from fnmatch import fnmatchcase
from functools import partial

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import SelectedTrim
from pastecheck.trim.floors import as_far_as_limits, least_width_mm
from pastecheck.trim.offsets import alike, walls_drawn_in
from pastecheck.trim.plan import LEAST_CHANGE_MM, NOT_SO, Held, Outline, Plan, Why, sides_mm
from pastecheck.trim.shares import factor_of_share, insets_at_one_end, insets_of_share
from pastecheck.trim.steps import stepped_down


def plan_chips(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan what is taken off the inner edges of the two openings of parts.

    No side is made shorter than the error limits allow; where that leaves more than is asked for it is noted.
    """
    entry = rule_set.trim.chips
    if entry is None:
        return
    parts = m.parts_of_two_lands
    for rows, others in ((parts.first, parts.second), (parts.second, parts.first)):
        free = _are_free(m, plan)[rows] & (m.length_mm[rows] > entry.longer_than_mm)
        rows, others = rows[free], others[free]  # noqa: PLW2901 -- fewer of the same
        way_mm = m.rectangles.rows(rows).seen(m.centroid_mm[others] - m.centroid_mm[rows])
        axis = np.abs(way_mm).argmax(axis=1)
        end = (way_mm[np.arange(len(rows)), axis] > 0).astype(np.int64)
        side_mm, other_mm = (sides_mm(m)[rows, each] for each in (axis, 1 - axis))
        asked_mm = side_mm - _off_one_end_mm(m, rows, axis, end, entry.area_share)
        if entry.step_mm:
            asked_mm = stepped_down(asked_mm, entry.step_mm)
        floor_mm = least_width_mm(m, rule_set, rows, side_mm, other_mm)
        off_mm = np.maximum(side_mm - np.maximum(asked_mm, floor_mm), 0.0)
        plan.inset_mm[rows, axis, end] = off_mm
        plan.why[rows[off_mm > LEAST_CHANGE_MM]] = Why.CHIPS
        is_held = (floor_mm > asked_mm + LEAST_CHANGE_MM) & (floor_mm <= side_mm)
        plan.hold(rows[is_held], Held.WIDTH, asked_mm[is_held])


def _off_one_end_mm(
    m: Measurements, rows: IntArray, axis: IntArray, end: IntArray, share: float
) -> FloatArray:
    """How far one side is drawn in, so that this share of the area is left. Shape (k,)."""
    side_mm, other_mm = (sides_mm(m)[rows, each] for each in (axis, 1 - axis))
    off_mm = (1 - share) * m.area_mm2[rows] / other_mm
    round_mm = 2 * m.openings.shapes.radius_mm[m.openings.shape[rows]]
    # corners that keep their radius, and round ends that stay, lose what a bar across them has
    plain = m.are_rounded_rectangles[rows] & (side_mm - off_mm >= round_mm) & (axis == 0)
    plain |= m.are_rounded_rectangles[rows] & (np.minimum(side_mm - off_mm, other_mm) > round_mm)
    rest = np.flatnonzero(~plain)
    kinds = distinct_rows(np.column_stack([m.openings.shape[rows], axis, end])[rest])
    first = rest[kinds.first]
    order = np.argsort(rows[first])
    some = first[order]
    found_mm = np.empty(len(first))
    found_mm[order] = insets_at_one_end(m, rows[some], axis[some], end[some], share)
    off_mm[rest] = found_mm[kinds.inverse]
    return off_mm


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
        rows = np.flatnonzero(_are_free(m, plan) & are_selected(m, entry, found_by))
        plain = m.are_rounded_rectangles[rows]
        _plan_sides(m, rule_set, entry, rows[plain], plan)
        others = rows[~plain]
        plan.redraw(m.openings.shape, others, partial(_smaller, m, entry), Why.SELECTED)
        plan.hold(others[plan.redrawn[others] == NOT_SO], Held.APART)


def _plan_sides(m: Measurements, rule_set: RuleSet, entry: SelectedTrim, rows: IntArray, plan: Plan) -> None:
    """Of rectangles, slots and circles: in closed form, and as far as the error limits allow."""
    drawn_mm, radius_mm = sides_mm(m)[rows], m.openings.shapes.radius_mm[m.openings.shape[rows]]
    factor = factor_of_share(drawn_mm, radius_mm, entry.area_share)
    asked_mm = drawn_mm * factor[:, None] - 2 * entry.inset_mm
    is_left = (asked_mm > 0).all(axis=1)
    plan.hold(rows[~is_left], Held.APART)
    rows, drawn_mm, asked_mm = rows[is_left], drawn_mm[is_left], asked_mm[is_left]
    far = as_far_as_limits(m, rule_set, rows, drawn_mm, asked_mm)
    off_mm = far[:, None] * (drawn_mm - asked_mm)
    changes = off_mm[:, 0] > LEAST_CHANGE_MM
    plan.inset_mm[rows] = np.where(changes[:, None], off_mm / 2, 0.0)[:, :, None]
    plan.why[rows[changes]] = Why.SELECTED
    is_held = (far < 1) & (far >= 0)
    plan.hold(rows[is_held], Held.WIDTH, asked_mm[is_held, 1])


def _smaller(m: Measurements, entry: SelectedTrim, rows: IntArray) -> Sequence[Outline | None]:
    """All walls drawn in, about the origins of some openings; None where one would fall apart or be gone."""
    shapes, kinds = m.openings.shapes, m.openings.shape[rows]
    drawn = shapes.outline[kinds]
    by_mm = entry.inset_mm or insets_of_share(drawn, entry.area_share)
    made = map(alike, walls_drawn_in(drawn, by_mm), drawn)
    columns = zip(made, shapes.flatness_mm[kinds].tolist(), strict=True)
    return [None if one is None else Outline(one, 0.0, off_mm) for one, off_mm in columns]


def _are_free(m: Measurements, plan: Plan) -> BoolArray:
    """Which openings are in no row of leads, and nothing else is planned for."""
    return np.asarray(plan.is_free & ~m.are_leads)


def are_selected(m: Measurements, entry: SelectedTrim, found_by: Mapping[str, BoolArray]) -> BoolArray:
    """Which openings all conditions of an entry hold for. Shape (n,)."""
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
