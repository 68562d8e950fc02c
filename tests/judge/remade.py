"""Layers drawn anew with the changes of size that remedies ask for, and judged again."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np
import shapely
import shapely.affinity

from pastecheck.checks import catalogue
from pastecheck.drawing import FloatArray
from pastecheck.judge import failures_of, judge
from pastecheck.judge.readings import judged_rules
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.openings import GeometryArray, Shapes
from pastecheck.remedies import Remedies, remedies
from pastecheck.report import Level, RuleOutcome
from pastecheck.rulesets import RuleSet

Key = tuple[str, int, int, int]
"""Check, opening, other opening, and which of its readings of them."""

WARNS, FAILS = 1, 2


class Mended(NamedTuple):
    """What was found, what remedies promise, and what is found when the changes are made."""

    before: Mapping[Key, int]
    promised: Mapping[Key, int]
    after: Mapping[Key, int]
    remedies: Remedies

    def complaints(self) -> list[str]:
        """What remedies must not do."""
        errors = [sum(level == FAILS for level in found.values()) for found in (self.before, self.after)]
        said = [f"{errors[1]} errors instead of {errors[0]}"] if errors[1] > errors[0] else []
        for key, level in self.after.items():
            allowed = WARNS if self.remedies.still_warns[list(key[1:3])].any() else 0
            promised = self.promised.get(key, 0)
            if level > max(promised, allowed):
                was = self.before.get(key, 0)
                said.append(f"{key} was {was}, {promised} was promised, {allowed} told, and is {level}")
        return said


def mended(m: Measurements, rule_set: RuleSet) -> Mended:
    """A layer judged, changed as remedies say, and judged again."""
    before, advice = _levels(judge(m, rule_set)), remedied(m, rule_set)
    promised = dict(zip(before, np.concatenate(advice.levels).tolist(), strict=True))
    return Mended(before, promised, _levels(judge(remade(advice.changed), rule_set)), advice)


def remedied(m: Measurements, rule_set: RuleSet) -> Remedies:
    """What is advised for a layer, in columns."""
    m, rules = judged_rules(m, rule_set.rules, catalogue())
    return remedies(m, rule_set, [one.failure for one in rules], partial(failures_of, rules))


def _levels(outcomes: Sequence[RuleOutcome]) -> dict[Key, int]:
    """How bad each finding is, in the order in which they were found."""
    levels: dict[Key, int] = {}
    for outcome in outcomes:
        for finding in outcome.findings:
            opening = (finding.opening or 0) - 1
            key = outcome.check, opening, (finding.other or finding.opening or 0) - 1
            nth = sum((*key, nth) in levels for nth in range(9))
            levels[(*key, nth)] = FAILS if finding.level is Level.ERROR else WARNS
    return levels


def remade(changed: Changed) -> Measurements:
    """The layer with its changes made: every opening that changes gets an outline of its own."""
    m = changed.m
    openings, rows = m.openings, np.flatnonzero(changed.is_changed)
    outlines = [_outline(changed, row) for row in rows.tolist()]
    core = np.array([core for core, _ in outlines], np.object_)
    radius_mm = np.array([radius for _, radius in outlines])
    shape = openings.shape.copy()
    shape[rows] = len(openings.shapes) + np.arange(len(rows))
    shapes = _joined(openings.shapes, core, radius_mm, openings.shapes.tolerance_mm[openings.shape[rows]])
    anew = replace(openings, shapes=shapes, shape=shape)
    return Measurements(anew, m.foil, m.limits, sheet=m.sheet, board=m.board)


def _outline(changed: Changed, row: int) -> tuple[shapely.Geometry, float]:
    """Core and radius of one opening about its origin: built from its sides, not by what is being tested."""
    m = changed.m
    openings, kind = m.openings, m.openings.shape[row]
    radius_mm = float(openings.shapes.radius_mm[kind])
    degrees = float(np.degrees(np.nan_to_num(m.direction_rad[row])))
    level = shapely.affinity.rotate(openings.shapes.outline[kind], -degrees, origin=(0, 0))
    if radius_mm or m.are_rounded_rectangles[row]:
        core = shapely.affinity.rotate(openings.shapes.core[kind], -degrees, origin=(0, 0))
        low_x, low_y, high_x, high_y = core.bounds
        low_x, low_y, high_x, high_y = (
            low_x - radius_mm,
            low_y - radius_mm,
            high_x + radius_mm,
            high_y + radius_mm,
        )
    else:
        low_x, low_y, high_x, high_y = level.bounds
    (begin, end), (right, left) = changed.inset_mm[row]
    new = low_x + begin, low_y + right, high_x - end, high_y - left
    if not m.are_rounded_rectangles[row]:
        factor = (new[2] - new[0]) / (high_x - low_x), (new[3] - new[1]) / (high_y - low_y)
        stretched = shapely.affinity.scale(level, *factor, origin=(low_x, low_y))
        moved = shapely.affinity.translate(stretched, new[0] - low_x, new[1] - low_y)
        return shapely.affinity.rotate(moved, degrees, origin=(0, 0)), 0.0
    half = min(new[2] - new[0], new[3] - new[1]) / 2
    is_round = radius_mm >= (1 - 1e-6) * min(high_x - low_x, high_y - low_y) / 2
    radius_mm = half if is_round else min(radius_mm, half)
    inner = new[0] + radius_mm, new[1] + radius_mm, new[2] - radius_mm, new[3] - radius_mm
    return shapely.affinity.rotate(_box(*inner), degrees, origin=(0, 0)), radius_mm


def _box(low_x: float, low_y: float, high_x: float, high_y: float) -> shapely.Geometry:
    """A rectangle, or the line or point that it is."""
    wide, high = high_x - low_x > 1e-9, high_y - low_y > 1e-9
    if wide and high:
        return shapely.box(low_x, low_y, high_x, high_y)
    if wide or high:
        return shapely.LineString([(low_x, low_y), (high_x, high_y)])
    return shapely.Point((low_x + high_x) / 2, (low_y + high_y) / 2)


def _joined(shapes: Shapes, core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> Shapes:
    grown = shapely.buffer(core, radius_mm, quad_segs=64)
    outline = np.where(radius_mm > 0, grown, core)
    around_mm = shapely.length(core) * np.where(shapely.get_dimensions(core) == 1, 2.0, 1.0)
    columns = {
        "outline": outline,
        "core": core,
        "radius_mm": radius_mm,
        "tolerance_mm": tolerance_mm,
        "area_mm2": shapely.area(core) + around_mm * radius_mm + np.pi * radius_mm**2,
        "perimeter_mm": around_mm + 2 * np.pi * radius_mm,
        "centroid_mm": shapely.get_coordinates(shapely.centroid(core)),
        "bounds_mm": shapely.bounds(core).reshape(-1, 4) + np.outer(radius_mm, [-1, -1, 1, 1]),
    }
    return Shapes(
        **{name: np.concatenate([getattr(shapes, name), column]) for name, column in columns.items()}
    )
