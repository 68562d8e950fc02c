"""
For the job sheet: what a layer comes to, and how it is cut and printed.

Its figures are `common practice, no source` where nothing else is said; the user's own are better.
"""

from typing import Final, TypeVar

import numpy as np
import shapely

from pastecheck.bench import CuttingTime, Job, JobSetting, SheetNeeded, SmallOpenings, Squeegee, Totals
from pastecheck.checks import deposit_volume, sheet_fit
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry import sheets
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct, distinct_rows
from pastecheck.report import is_round, steps_of_10_um
from pastecheck.rulesets import Cutting, RuleSet

SIZES_LOOKED_AT: Final = 3
AS_SMALL: Final = 2.0
"""What has more than so many times the area of the smallest opening is not looked for among the smallest."""

P = TypeVar("P")


def totals(m: Measurements, rule_set: RuleSet, deposit_mm3: FloatArray | None) -> Totals:
    """
    What all openings come to.

    Args:
        m: The layer.
        rule_set: With the density of the paste, as a setting of deposit-volume.
        deposit_mm3: What the check deposit-volume reads of each opening; None where it is not in force.
            Shape (n,).
    """
    rings = 1 + shapely.get_num_interior_rings(m.openings.shapes.outline)
    volume_mm3 = float(m.area_mm2.sum()) * m.foil.thickness_mm
    known = _params(rule_set, "deposit-volume", deposit_volume.Params())
    deposits_mm3 = volume_mm3 if deposit_mm3 is None else float(deposit_mm3.sum())
    return Totals(
        outlines=int(rings[m.openings.shape].sum()),
        cut_length_mm=float(m.perimeter_mm.sum()),
        opening_volume_mm3=volume_mm3,
        deposit_volume_mm3=deposits_mm3,
        has_efficiency=known.transfer_efficiency != deposit_volume.Params().transfer_efficiency,
        paste_mg=deposits_mm3 * known.density_g_cm3,  # 1 g/cm3 is 1 mg/mm3
        paste_g_cm3=known.density_g_cm3,
    )


def job(m: Measurements, rule_set: RuleSet, total: Totals, side: str) -> Job:
    """
    How a layer is cut and printed.

    Args:
        m: The layer.
        rule_set: With the cutter, the sheet, and how it is cut.
        total: As of `totals`.
        side: top, bottom or unknown.
    """
    return Job(
        cutter=rule_set.cutter,
        time=_time(rule_set.cutting, total),
        settings=_settings(rule_set.cutting),
        squeegee=_squeegee(m),
        smallest=_smallest(m),
        sheet=_sheet(m, rule_set),
        is_mirrored={"top": False, "bottom": True}.get(side),
    )


def _time(cutting: Cutting | None, total: Totals) -> CuttingTime | None:
    """None where the speed of a pass is not known."""
    if cutting is None or not cutting.speeds_mm_s:
        return None
    speeds_mm_s, passes = cutting.speeds_mm_s, len(cutting.passes)
    lifts = passes * total.outlines
    each_mm_s = 1 / sum(1 / speed_mm_s for speed_mm_s in speeds_mm_s)
    return CuttingTime(
        speed_mm_s=passes * each_mm_s,
        passes=passes,
        lifts=lifts,
        seconds=total.cut_length_mm / each_mm_s + cutting.lift_s * lifts,
        speeds_mm_s=speeds_mm_s if len(set(speeds_mm_s)) > 1 else (),
    )


def _settings(cutting: Cutting | None) -> tuple[JobSetting, ...]:
    """How the user's machine is set, as the rule set says it; what only gives the time is told with that."""
    if cutting is None:
        return ()
    depth = f"{cutting.blade_depth} deep" if cutting.blade_depth else ""
    found = [
        ("blade", ", ".join(filter(None, [cutting.blade, depth]))),
        ("passes", cutting.passes_said if any(one.force or one.power for one in cutting.passes) else ""),
        ("carrier", cutting.carrier),
        ("scale", _scale(cutting)),
        *(("note", note) for note in cutting.notes),
    ]
    return tuple(JobSetting(name, text) for name, text in found if text)


def _scale(cutting: Cutting) -> str:
    """By what the file of outlines is scaled, so that lengths come out right; empty where it is not."""
    is_scaled = (cutting.scale_x, cutting.scale_y) != (1.0, 1.0)
    return f"{cutting.scale_x:g} in x, {cutting.scale_y:g} in y" if is_scaled else ""


def _squeegee(m: Measurements) -> Squeegee | None:
    stroke = m.stroke
    if stroke is None:
        return None
    return Squeegee(float(np.degrees(stroke.direction_rad)) % 180, stroke.webs, stroke.prevails)


def _smallest(m: Measurements) -> tuple[SmallOpenings, ...]:
    """Openings of the smallest sizes by area: small plugs stay in the film, and small holes clog."""
    looks_round = is_round(m.width_mm, m.length_mm, m.area_mm2)
    size = np.column_stack([steps_of_10_um(m.width_mm), steps_of_10_um(m.length_mm), looks_round])
    kinds = distinct_rows(size)
    area_mm2 = np.full(len(kinds.first), np.inf)
    np.minimum.at(area_mm2, kinds.inverse, m.area_mm2)
    order = np.lexsort((kinds.first, area_mm2))[:SIZES_LOOKED_AT]
    small = order[area_mm2[order] <= AS_SMALL * area_mm2[order[0]]]
    return tuple(_small(m, np.flatnonzero(kinds.inverse == kind), looks_round) for kind in small.tolist())


def _small(m: Measurements, rows: IntArray, looks_round: BoolArray) -> SmallOpenings:
    first, place_mm = int(rows[0]), m.centroid_mm[rows]
    low, high = place_mm.min(axis=0), place_mm.max(axis=0)
    labels = {m.openings.labels[row] for row in distinct(m.openings.label[rows]).tolist()}
    return SmallOpenings(
        width_mm=float(m.width_mm[first]),
        length_mm=float(m.length_mm[first]),
        is_round=bool(looks_round[first]),
        count=len(rows),
        components=tuple(sorted(labels - {""})),
        within_mm=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
        opening=first + 1,
    )


def _sheet(m: Measurements, rule_set: RuleSet) -> SheetNeeded:
    low_x, low_y, high_x, high_y = m.bounds_mm
    extent_mm = high_x - low_x, high_y - low_y
    margin_mm = _params(rule_set, "sheet-fit", sheet_fit.Params()).margin_mm
    unusable_mm = 0.0 if rule_set.sheet is None else rule_set.sheet.unusable_mm
    short_mm, long_mm = sheets.smallest_sheet_mm(extent_mm, margin_mm, unusable_mm)
    fit = None if rule_set.sheet is None else sheets.sheet_fit(extent_mm, rule_set.sheet.usable_mm, margin_mm)
    return SheetNeeded(
        short_mm=short_mm,
        long_mm=long_mm,
        margin_mm=margin_mm,
        unusable_mm=unusable_mm,
        spare_mm=None if fit is None else fit.spare_mm,
        is_turned=fit is not None and fit.is_turned,
        own_mm=None if rule_set.sheet is None else (rule_set.sheet.width_mm, rule_set.sheet.height_mm),
    )


def _params(rule_set: RuleSet, check: str, otherwise: P) -> P:
    """The settings of a check, as the rule set has them."""
    params = next((rule.params for rule in rule_set.rules if rule.check == check), otherwise)
    return params if isinstance(params, type(otherwise)) else otherwise
