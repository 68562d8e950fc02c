"""The numbers by which a layer can be judged in other foils, and with all openings made smaller."""

from collections.abc import Mapping
from typing import Final

import numpy as np
import shapely

from pastecheck.check import Unit
from pastecheck.checks import catalogue
from pastecheck.checks.deposit_volume import Params as Volume
from pastecheck.checks.pitch_fraction import Params as Pitch
from pastecheck.checks.powder_fit import Params as Powder
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.width import turned_rectangles
from pastecheck.judge.readings import JudgedRule, judged_rules, rounding
from pastecheck.measurements import Measurements
from pastecheck.openings import GeometryArray
from pastecheck.prospects import (
    INSETS_MM,
    MOST_OPENINGS,
    MOST_TABLES,
    Balls,
    Efficiency,
    Heights,
    NarrowWebs,
    Outlines,
    Prospects,
    WideLeads,
)
from pastecheck.ragged import distinct_rows
from pastecheck.rulesets import RuleSet
from pastecheck.units import NM_PER_MM

REJUDGED: Final = (
    "area-ratio",
    "aspect-ratio",
    "opening-width",
    "neck-width",
    "web-width",
    "pitch-fraction",
    "powder-fit",
    "deposit-height",
    "deposit-volume",
)
"""Checks that can be held against prospects."""

_SAME_MM: Final = 1e-3
"""A web that grows otherwise than by twice what is taken off, by more than flattening, is in the table."""
_STRAIGHT_MM: Final = 1e-4
"""Vertices of flattened curves so near to a line are left out: to move walls of hundreds takes long."""
_FILLED: Final = 1e-6
_ARC_SEGMENTS: Final = 16


def prospects(m: Measurements, rule_set: RuleSet) -> Prospects | None:
    """
    What a layer would read in other foils and with less cut away, by the checks of `REJUDGED` in force.

    None where there are more openings than `MOST_OPENINGS`, or more outlines in tables than `MOST_TABLES`.

    Openings are made smaller by moving all their walls inward alike: what is left is all that is at least so
    far from the wall. An opening may fall into parts, or vanish. Which openings are leads, and between which
    there is a web, is as drawn.

    Cost:
        An outline that is no rectangle with round corners is shrunk once for each of `INSETS_MM`.
    """
    if len(m.openings) > MOST_OPENINGS:
        return None
    known = catalogue()
    wanted = [rule for rule in rule_set.rules if rule.check in REJUDGED or known[rule.check].mended]
    m, judged = judged_rules(m, wanted, known)
    rules = {one.rule.check: one for one in judged}
    used, outline = np.unique(m.openings.shape, return_inverse=True)
    of_shape = np.zeros(len(used), np.int64)
    of_shape[outline] = np.arange(len(outline))  # an opening of each outline
    outlines = _outlines(m, used, of_shape, rules)
    if outlines is None:
        return None
    return Prospects(
        outlines=outlines,
        outline=outline.astype(np.int64),
        webs=_webs(m, rules.get("web-width")),
        leads=_leads(m, rules.get("pitch-fraction")),
        heights=_heights(m, rules.get("deposit-height")),
        balls=_balls(rules.get("powder-fit")),
        efficiency=_efficiency(rules.get("deposit-volume")),
        slack_mm=rounding(m, Unit.MM),
        rejudged=tuple(
            one.rule.check
            for one in judged
            if one.rule.check in REJUDGED and one.rule.limits and not one.missing
        ),
    )


def _outlines(
    m: Measurements, used: IntArray, row: IntArray, rules: Mapping[str, JudgedRule]
) -> Outlines | None:
    """Of outlines in use, and an opening of each, of shape (s,) both; None if too many are in tables."""
    shapes = m.openings.shapes
    radius_mm = shapes.radius_mm[used]
    sides_mm = np.column_stack([m.length_mm[row], m.width_mm[row]])
    core_mm = np.maximum(sides_mm - 2 * radius_mm[:, None], 0.0)
    is_closed = _are_rectangles(shapes.core[used], core_mm)
    drawn = np.flatnonzero(~is_closed)
    if len(drawn) > MOST_TABLES:
        return None
    table = np.full(len(used), -1, np.int64)
    table[drawn] = np.arange(len(drawn))
    shrunk = _shrunk(shapes.outline[used[drawn]])
    of = row[drawn]
    for column, exact in zip(
        shrunk, (m.area_mm2[of], (m.area_mm2 / m.perimeter_mm)[of], m.width_mm[of]), strict=True
    ):
        column[:, 0] = exact
    width_off_mm = m.width_error_mm[row]
    across_mm, across_off_mm = m.width_mm[row], width_off_mm
    neck_mm = neck_off_mm = np.full(len(used), np.nan)
    if "powder-fit" in rules:
        necks = m.insides.necks
        narrow = necks.width_mm[row] < across_mm
        across_off_mm = np.where(narrow, necks.error_mm[row], across_off_mm)
        across_mm = np.minimum(across_mm, necks.width_mm[row])
    if "neck-width" in rules:
        readings = rules["neck-width"].readings
        neck_mm, neck_off_mm = readings.values[row], readings.error[row]
    return Outlines(
        core_mm=np.where(is_closed[:, None], core_mm, np.nan),
        radius_mm=radius_mm,
        table=table,
        area_mm2=shrunk[0],
        over_mm=shrunk[1],
        width_mm=shrunk[2],
        across_mm=across_mm,
        neck_mm=neck_mm,
        share_off=(m.area_ratio_error / m.area_ratio)[row],
        width_off_mm=width_off_mm,
        across_off_mm=across_off_mm,
        neck_off_mm=neck_off_mm,
        area_off_mm2=(shapes.perimeter_mm * shapes.tolerance_mm)[used],
    )


def _are_rectangles(core: GeometryArray, core_mm: FloatArray) -> BoolArray:
    """Which cores fill their rectangles; points and lines do."""
    core_mm2 = core_mm[:, 0] * core_mm[:, 1]
    filled: BoolArray = np.abs(shapely.area(core) - core_mm2) <= _FILLED * core_mm2
    return filled & ((shapely.get_dimensions(core) < 2) | (core_mm2 > 0))


def _smaller(outline: GeometryArray) -> GeometryArray:
    """Outlines with so much taken off all around as `INSETS_MM` says, to `_STRAIGHT_MM`. Shape (u, k)."""
    straight = shapely.simplify(outline, _STRAIGHT_MM)
    less = shapely.buffer(straight[:, None], -INSETS_MM[None, :], quad_segs=_ARC_SEGMENTS)
    return np.asarray(less, np.object_).reshape(len(outline), len(INSETS_MM))


def _shrunk(outline: GeometryArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Area, worst area over perimeter and least width of what is left. Shape (u, k) each."""
    shape = len(outline), len(INSETS_MM)
    parts, owner = shapely.get_parts(_smaller(outline).reshape(-1), return_index=True)
    kept = ~shapely.is_empty(parts)
    parts, owner = parts[kept], owner[kept]
    area_mm2 = np.zeros(shape[0] * shape[1])
    np.add.at(area_mm2, owner, shapely.area(parts))
    over_mm, width_mm = np.full(len(area_mm2), np.inf), np.full(len(area_mm2), np.inf)
    np.minimum.at(over_mm, owner, shapely.area(parts) / shapely.length(parts))
    nothing = np.zeros(len(parts))
    np.minimum.at(width_mm, owner, turned_rectangles(parts, nothing, nothing).width_mm)
    return (
        area_mm2.reshape(shape),
        np.where(np.isinf(over_mm), 0.0, over_mm).reshape(shape),
        np.where(np.isinf(width_mm), 0.0, width_mm).reshape(shape),
    )


def _webs(m: Measurements, rule: JudgedRule | None) -> NarrowWebs:
    rows, none = np.zeros(0, np.int64), np.zeros(0)
    if rule is None or not len(rule.failure.failed.values):
        return NarrowWebs(rows, rows, none, none, rows, np.zeros((0, len(INSETS_MM))))
    failed = rule.failure.failed
    first, second = failed.pairs
    openings = m.openings
    way = np.column_stack(
        [
            openings.shape[first],
            openings.shape[second],
            openings.x_nm[second] - openings.x_nm[first],
            openings.y_nm[second] - openings.y_nm[first],
        ]
    )
    kinds = distinct_rows(way)
    grown_mm = _grown_mm(openings.shapes.outline, way[kinds.first])
    plain_mm = failed.values[kinds.first][:, None] + 2 * INSETS_MM
    are_odd = ~(np.abs(grown_mm - plain_mm) <= _SAME_MM).all(axis=1)
    grown_mm[:, 0] = plain_mm[:, 0]
    table = np.full(len(kinds.first), -1, np.int64)
    table[are_odd] = np.arange(np.count_nonzero(are_odd))
    return NarrowWebs(first, second, failed.values, failed.error, table[kinds.inverse], grown_mm[are_odd])


def _grown_mm(outline: GeometryArray, way: IntArray) -> FloatArray:
    """Webs between two outlines, the second some way off in nm; NaN where one has vanished. Shape (v, k)."""
    one, other = (_smaller(outline[way[:, column]]) for column in (0, 1))
    at_mm, row = shapely.get_coordinates(other.reshape(-1), return_index=True)
    by_mm = np.repeat(way[:, 2:] / NM_PER_MM, len(INSETS_MM), axis=0)
    moved = shapely.set_coordinates(other.reshape(-1).copy(), at_mm + by_mm[row])
    apart_mm: FloatArray = shapely.distance(one, np.asarray(moved, np.object_).reshape(one.shape))
    return apart_mm


def _leads(m: Measurements, rule: JudgedRule | None) -> WideLeads:
    if rule is None or not isinstance(rule.rule.params, Pitch):
        none = np.zeros(0)
        return WideLeads(np.zeros(0, np.int64), none, none, none, 0.0, none)
    failed, rows = rule.failure.failed, m.rows
    of = failed.opening
    below_mm = rule.rule.params.only_gaps_below_mm
    return WideLeads(of, failed.values, rows.pitch_mm[of], rows.gap_mm[of], below_mm, failed.error)


def _heights(m: Measurements, rule: JudgedRule | None) -> Heights:
    if rule is None or rule.missing:
        return Heights(np.zeros(0, np.int64), np.zeros(0), np.zeros(0))
    readings, thickness_mm = rule.readings, m.foil.thickness_mm
    there = np.flatnonzero(~np.isnan(readings.values))
    return Heights(
        readings.opening[there], readings.values[there] / thickness_mm, readings.error[there] / thickness_mm
    )


def _balls(rule: JudgedRule | None) -> Balls | None:
    if rule is None or not isinstance(rule.rule.params, Powder):
        return None
    params = rule.rule.params
    return Balls(params.ball_mm, params.balls, params.balls_round)


def _efficiency(rule: JudgedRule | None) -> Efficiency | None:
    if rule is None or not isinstance(rule.rule.params, Volume):
        return None
    ratios, shares = zip(*rule.rule.params.transfer_efficiency, strict=True)
    return Efficiency(ratios, shares, rule.rule.params.steepest)
