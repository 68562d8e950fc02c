"""What the script of the page goes by, as JSON: openings and outlines in columns, limits, and prospects."""

import json
from dataclasses import asdict
from typing import Any, Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.prospects import INSETS_MM, Balls, Efficiency, Prospects
from pastecheck.report import LayerReport, OpeningTable, RuleSetSummary
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._page.changed import Changed
from pastecheck.reporters._phrases import foil_word
from pastecheck.units import UM_PER_MM

_FIGURES: Final = 9
"""Significant digits of what is held against limits: as the table of measurements has them."""
_OF_TENTHS_UM: Final = 10_000
"""Places are in steps of 0.1 um."""
_UNSAFE: Final = {ord(c): f"\\u{ord(c):04x}" for c in "<>&\u2028\u2029"}
"""No text of a file can end the element that holds the numbers."""


def numbers_of(layer: LayerReport, rules: RuleSetSummary, changed: Changed | None = None) -> str:
    """
    The numbers of a layer whose drawing moves.

    Raises:
        ValueError: If the layer carries no prospects.
    """
    if layer.drawn is None or layer.drawn.prospects is None:
        raise ValueError("it is not known what would become of the layer")
    table, known = layer.table, layer.drawn.prospects
    return _safe(
        {
            "foil": foil_word(rules.foil_name, rules.foil_material),
            "thickness_um": round(rules.foil_thickness_mm * UM_PER_MM, 6),
            "insets_um": _whole(np.asarray(INSETS_MM * UM_PER_MM, np.float64)),
            "slack_mm": known.slack_mm,
            "limits": {
                one.check: {"title": one.title, **one.limits}
                for one in layer.outcomes
                if one.check in known.rejudged
            },
            "openings": {
                "x": _steps(table.x_mm),
                "y": _steps(table.y_mm),
                "outline": known.outline.tolist(),
                "label": table.label.tolist(),
                "line": table.line.tolist(),
                "web": _figures(table.web_mm, 6),
            },
            "labels": [harmless(label) for label in table.labels],
            "outlines": _outlines(layer, table, known),
            "webs": {
                "first": known.webs.first.tolist(),
                "second": known.webs.second.tolist(),
                "gap": _figures(known.webs.gap_mm),
                "off": _figures(known.webs.off_mm),
                "table": known.webs.table.tolist(),
                "grown": [_figures(row) for row in known.webs.grown_mm],
            },
            "leads": {
                "opening": known.leads.opening.tolist(),
                "fraction": _figures(known.leads.fraction),
                "pitch": _figures(known.leads.pitch_mm),
                "gap": _figures(known.leads.gap_mm),
                "gaps_below": known.leads.gaps_below_mm,
                "off": _figures(known.leads.off),
            },
            "heights": {
                "opening": known.heights.opening.tolist(),
                "coverage": _figures(known.heights.coverage),
                "off": _figures(known.heights.off),
            },
            "balls": _members(known.balls),
            "efficiency": _members(known.efficiency),
            **({} if changed is None else {"changed": changed.numbers}),
        }
    )


def _outlines(layer: LayerReport, table: OpeningTable, known: Prospects) -> dict[str, Any]:
    """Columns of the distinct outlines; measures are those of an opening of each."""
    of = known.outlines
    row = np.zeros(len(of.radius_mm), np.int64)
    row[known.outline] = np.arange(len(known.outline))
    assert layer.drawn is not None  # noqa: S101 -- seen by the caller
    openings = layer.drawn.openings
    bounds_mm = openings.shapes.bounds_mm[openings.shape[row]]
    origin_mm = np.column_stack([openings.x_nm, openings.y_nm])[row] / 1e6
    middle_mm = np.column_stack([table.x_mm, table.y_mm])[row] - origin_mm
    box_mm = bounds_mm - np.concatenate([middle_mm, middle_mm], axis=1)
    return {
        "width": _figures(table.width_mm[row]),
        "length": _figures(table.length_mm[row]),
        "area": _figures(table.area_mm2[row]),
        "perimeter": _figures(table.perimeter_mm[row]),
        "round": table.is_round[row].astype(int).tolist(),
        "box": [_steps(side) for side in box_mm.T],
        "core": [_figures(side) for side in of.core_mm.T],
        "radius": _figures(of.radius_mm),
        "table": of.table.tolist(),
        "areas": [_figures(one) for one in of.area_mm2],
        "overs": [_figures(one) for one in of.over_mm],
        "widths": [_figures(one) for one in of.width_mm],
        "across": _figures(of.across_mm),
        "neck": _figures(of.neck_mm),
        "share_off": _figures(of.share_off),
        "width_off": _figures(of.width_off_mm),
        "across_off": _figures(of.across_off_mm),
        "neck_off": _figures(of.neck_off_mm),
        "area_off": _figures(of.area_off_mm2),
    }


def _members(one: Balls | Efficiency | None) -> dict[str, Any] | None:
    return None if one is None else asdict(one)


def _figures(column: FloatArray, digits: int = _FIGURES) -> list[float | None]:
    """Numbers as short as they are exact enough; None for NaN."""
    return [None if one != one else _short(one, digits) for one in column.tolist()]  # noqa: PLR0124 -- NaN


def _short(value: float, digits: int) -> float:
    found = float(f"{value:.{digits}g}")
    return int(found) if found.is_integer() and abs(found) < 1e9 else found


def _steps(column_mm: FloatArray) -> list[int]:
    return _whole(column_mm * _OF_TENTHS_UM)


def _whole(column: FloatArray) -> list[int]:
    whole: IntArray = np.rint(column).astype(np.int64)
    found: list[int] = whole.tolist()
    return found


def _safe(value: Any) -> str:  # noqa: ANN401 -- whatever JSON holds
    """JSON that no HTML parser takes for anything else."""
    return json.dumps(value, allow_nan=False, separators=(",", ":")).translate(_UNSAFE)
