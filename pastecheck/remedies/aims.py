"""What a change must reach and keep, and what checks wish for to reach it."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING, Check, Readings, TextArray, Wish
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Foil, Measurements
from pastecheck.ragged import distinct_rows
from pastecheck.rulesets import RuleSet
from pastecheck.units import UM_PER_MM

_STEP_UM = 5
"""Sizes are proposed in steps that people draw in."""


class Failure(NamedTuple):
    """Readings of one check that are past a limit; columns of shape (k,)."""

    check: Check
    limits: Mapping[str, float]
    """Of the rule, as `RuleOutcome.limits`."""
    failed: Readings
    is_error: BoolArray
    is_below: BoolArray
    """Whether a reading is past a limit from below, not one from above."""

    def is_for(self, aim: "Aim") -> BoolArray:
        """Whether a reading must change to reach an aim."""
        return self.is_error | (not aim.still_warns)


class Aim(NamedTuple):
    """What a change must reach and keep: limits from below; 0 where none is set."""

    still_warns: bool
    """Whether only errors are to end."""
    names: tuple[str, ...]
    opening_width_mm: float
    aspect_ratio: float
    area_ratio: float
    web_mm: float


def aim_of(rule_set: RuleSet, *, still_warns: bool) -> Aim:
    """What must be reached to end all findings, or only all errors."""
    names = ("error",) if still_warns else ("error", "warn")
    limits = {rule.check: rule.limits for rule in rule_set.rules}

    def strictest(check: str) -> float:
        return max(limits.get(check, {}).get(f"{name}_below", 0.0) for name in names)

    checks = ("opening-width", "aspect-ratio", "area-ratio", "web-width")
    return Aim(still_warns, names, *(strictest(check) for check in checks))


def finer_than(rule_set: RuleSet) -> str:
    """What cuts finer than the foil and cutter of a rule set."""
    if "laser" not in rule_set.cutter.lower():
        return "laser-cut film or steel foil"
    return "laser-cut steel foil" if word_for(rule_set.foil) == "film" else "electroformed foil"


def word_for(foil: Foil) -> str:
    """What the user calls the foil."""
    return "film" if "film" in foil.name.lower() else "foil"


def _limit(limits: Mapping[str, float], aim: Aim, *, is_below: bool) -> float:
    """The limit that a reading must reach; NaN where an aim has none."""
    side = "below" if is_below else "above"
    found = [limits[f"{name}_{side}"] for name in aim.names if f"{name}_{side}" in limits]
    return (max(found) if is_below else min(found)) if found else np.nan


def wish_of(m: Measurements, failure: Failure, aim: Aim) -> Wish:
    """What a check wishes for to reach an aim; NaN for readings that have reached it already."""
    count = len(failure.failed.values)
    columns: dict[str, Any] = {
        name: np.full(count, "", np.object_) if name == "advice" else np.full(count, np.nan)
        for name in Wish.__dataclass_fields__
    }
    for is_below in (True, False):
        concerned = np.flatnonzero((failure.is_below == is_below) & failure.is_for(aim))
        limit = _limit(failure.limits, aim, is_below=is_below)
        if not len(concerned) or np.isnan(limit):
            continue
        granted = failure.check.wish(m, failure.failed.rows(concerned), limit)
        for name, column in columns.items():
            wished = getattr(granted, name)
            if wished is not None:
                column[concerned] = wished
    return Wish(**columns)


def keeps_limits(
    m: Measurements, aim: Aim, rows: IntArray, width_mm: FloatArray, length_mm: FloatArray
) -> BoolArray:
    """Whether openings keep the limits of single openings if they become so wide and long."""
    thickness_mm = m.foil.thickness_mm
    drawn = _rectangle(m.width_mm[rows], m.length_mm[rows], thickness_mm)
    share = np.minimum(m.area_ratio[rows] / drawn, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        area_ratio = _rectangle(width_mm, length_mm, thickness_mm) * share
    return (
        (width_mm > 0)
        & (width_mm >= aim.opening_width_mm - ROUNDING)
        & (width_mm / thickness_mm >= aim.aspect_ratio - ROUNDING)
        & (area_ratio >= aim.area_ratio - ROUNDING)
    )


def _rectangle(width_mm: FloatArray, length_mm: FloatArray, thickness_mm: float) -> FloatArray:
    """Area ratio of rectangles."""
    return width_mm * length_mm / (2 * (width_mm + length_mm) * thickness_mm)


def preferred(clean: IntArray, warning: IntArray) -> IntArray:
    """Of two figures the first that is possible (not 0), and whether it is the one that still warns."""
    is_clean = clean[:, 0] > 0
    chosen = np.where(is_clean[:, None], clean, warning)
    return np.column_stack([chosen, ~is_clean & (warning[:, 0] > 0)])


def put_in_words(figures: IntArray, say: Callable[[list[int]], str]) -> TextArray:
    """A text for each row of figures; equal rows are put into words once."""
    kinds = distinct_rows(figures)
    return np.array([say(row) for row in figures[kinds.first].tolist()], np.object_)[kinds.inverse]


def if_it_warns(still_warns: int) -> str:
    """The end of a remedy that leaves a warning."""
    return " (that still warns)" if still_warns else ""


def whole_um(length_mm: FloatArray) -> IntArray:
    """Lengths to the nearest micrometre."""
    return np.rint(length_mm * UM_PER_MM).astype(np.int64)


def stepped_um(length_mm: FloatArray, *, upward: bool) -> IntArray:
    """Lengths in whole steps, to the safe side; what is on a step but for float rounding stays there."""
    steps = length_mm * UM_PER_MM / _STEP_UM
    whole = np.ceil(steps - 1e-6) if upward else np.floor(steps + 1e-6)
    return whole.astype(np.int64) * _STEP_UM


def without_unit(length: str) -> str:
    """A length before an x."""
    return length.removesuffix(" mm")
