"""Readings held against limits: the only place where the two are compared."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING, Check, Needs, Readings, Scope, Unit, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import in_short
from pastecheck.remedies import Failure
from pastecheck.rulesets import Rule

INCH_FILE_SLACK_MM: Final = 0.001
"""
Slack of lengths in files written in inches, on top of a reading's error bound: such a file cannot say most
millimetres, and rounds them (`common practice, no source`). One step of the file's coordinates where that is
more, but never more than `MOST_SLACK_MM`.
"""
MOST_SLACK_MM: Final = 0.00254
"""A step of files in inches with four decimals."""


class JudgedRule(NamedTuple):
    """The readings of one check, judged; columns of what failed have shape (k,), worst first."""

    rule: Rule
    check: Check
    readings: Readings
    close: int
    failure: Failure
    limit: FloatArray
    """The limit that each failed reading is past."""
    missing: str
    """What the check would have needed besides the layer."""


def reach(m: Measurements, limits: Mapping[str, float], unit: Unit) -> float:
    """How far a check need look to see all that fails or is close to a limit from below."""
    below = [limit for name, limit in limits.items() if name.endswith("_below")]
    return max(below) + 2 * max(ROUNDING, rounding(m, unit)) if below else 0.0


def judged_rules(
    m: Measurements, rules: Sequence[Rule], known: Mapping[str, Check]
) -> tuple[Measurements, list[JudgedRule]]:
    """
    The readings of all rules held against their limits; and what was judged.

    Where a check fails that explains findings of others, that is the layer as if it were mended: so the
    others tell what would be left.
    """
    for rule in rules:
        mended = known[rule.check].mended
        if mended and len(judged_rule(m, rule, known[rule.check]).failure.failed.values):
            m = mended(m)
    return m, [judged_rule(m, rule, known[rule.check]) for rule in rules]


def judged_rule(m: Measurements, rule: Rule, check: Check) -> JudgedRule:
    """The readings of one rule held against its limits; raises ValueError if one is infinite."""
    missing = _missing(m, check.needs)
    scope = Scope(rule.params, reach(m, rule.limits, check.unit))
    readings = Readings.of_each(np.zeros(0)) if missing else check.measure(m, scope)
    readings = replace(readings, error=in_short(readings.error))
    values, limits = readings.values, rule.limits
    if np.isinf(values).any():
        raise ValueError(f"{rule.check} reads something infinite")
    rounded = rounding(m, check.unit)
    slack = readings.error + rounded
    past = {
        name: values < limit - slack if name.endswith("_below") else values > limit + slack
        for name, limit in limits.items()
    }
    names = [name for name in ("error_below", "error_above", "warn_below", "warn_above") if name in past]
    failed = np.flatnonzero(np.logical_or.reduce([*past.values(), np.zeros(len(values), bool)]))
    which = np.argmax([past[name][failed] for name in names], axis=0) if names else failed
    limit = np.array([limits[name] for name in names])[which]
    is_error = np.array([name.startswith("error") for name in names], bool)[which]
    is_below = np.array([name.endswith("_below") for name in names], bool)[which]
    other = np.zeros(len(values), np.int64) if readings.other is None else readings.other
    excess = np.round(np.abs(values[failed] - limit), 9)
    order = np.lexsort((other[failed], readings.opening[failed], -excess, ~is_error))
    rows = failed[order]
    close = np.logical_or.reduce([np.abs(values - each) <= slack for each in limits.values()])
    return JudgedRule(
        rule,
        check,
        readings,
        int(np.count_nonzero(close)),
        Failure(
            check,
            scope,
            limits,
            rounded,
            readings,
            rows,
            readings.rows(rows),
            is_error[order],
            is_below[order],
        ),
        limit[order],
        missing,
    )


def _missing(m: Measurements, needs: Needs) -> str:
    """What of it a check needs and is not there."""
    there = {
        Needs.NOTHING: True,
        Needs.SHEET: m.sheet is not None,
        Needs.LANDS: m.board.lands is not None,
        Needs.OUTLINE: m.board.profile is not None,
    }
    return "" if there[needs] else needs.value


def rounding(m: Measurements, unit: Unit) -> float:
    """
    Slack for what a file in inches has rounded, in the unit of the readings; 0 for ratios and in millimetres.

    Both ends of a length are off by half a step of the coordinates: 2.54 um with four decimals. Coarser
    files get no more, or their rounding would let failures pass; the layer's diagnostics tell of them.
    """
    if not m.openings.in_inches or unit is not Unit.MM:
        return 0.0
    return min(max(INCH_FILE_SLACK_MM, m.openings.step_mm), MOST_SLACK_MM)


def worst(one: JudgedRule) -> float | None:
    """The reading nearest to a limit, or farthest past it; without limits, by the check's worse side."""
    values = one.readings.values[~np.isnan(one.readings.values)]
    limits = one.rule.limits
    below = max((limit for name, limit in limits.items() if name.endswith("_below")), default=None)
    above = min((limit for name, limit in limits.items() if name.endswith("_above")), default=None)
    if not len(values):
        return None
    low, high = float(values.min()), float(values.max())
    if below is not None and above is not None:
        return low if below - low >= high - above else high
    if below is None and above is None and one.check.worse is Worse.BOTH:
        return None
    return high if above is not None or (below is None and one.check.worse is Worse.ABOVE) else low
