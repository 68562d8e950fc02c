"""Readings held against limits: the only place where the two are compared."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import repeat
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING, Check, Readings, Scope, Unit, Worse
from pastecheck.checks import catalogue
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows, within_runs
from pastecheck.remedies import Failure, TextArray, remedies, rows_of
from pastecheck.report import (
    NO_OPENINGS,
    Finding,
    LayerReport,
    Level,
    OpeningTable,
    RuleOutcome,
    RuleSetSummary,
    steps_of_10_um,
)
from pastecheck.rulesets import Rule, RuleSet
from pastecheck.source import Diagnostic
from pastecheck.units import NM_PER_MM, shown_apart, shown_um

INCH_FILE_SLACK_MM: Final = 0.001
"""
Slack of lengths in files written in inches, on top of a reading's error bound: such a file cannot say most
millimetres, and rounds them (`common practice, no source`). One step of the file's coordinates where that is
more, but never more than `MOST_SLACK_MM`.
"""
MOST_SLACK_MM: Final = 0.00254
"""A step of files in inches with four decimals."""


class Source(NamedTuple):
    """Where a layer comes from."""

    file: str
    sha256: str
    side: str
    """top, bottom or unknown."""


class _Judged(NamedTuple):
    """The readings of one check, judged; columns of what failed have shape (k,), worst first."""

    rule: Rule
    check: Check
    readings: Readings
    close: int
    failure: Failure
    limit: FloatArray
    """The limit that each failed reading is past."""


def judge(
    m: Measurements, rule_set: RuleSet, checks: Mapping[str, Check] | None = None
) -> tuple[RuleOutcome, ...]:
    """
    What each rule finds, in order of the rule set.

    A reading fails when it is past a limit by more than its slack, which is its error bound (and the rounding
    of lengths in files written in inches); so a reading at its limit passes. Readings within their slack of a
    limit, on either side, are counted as close. A reading past an error limit is no warning as well.

    Args:
        m: What is judged. Every check gives at most one reading an opening, or a pair of openings.
        rule_set: What it is held against.
        checks: By their ids; those that ship unless others are given.

    Raises:
        ValueError: If a check reads something infinite, which is a defect of the check.
    """
    known = catalogue() if checks is None else checks
    judged = [_judged(m, rule, known[rule.check]) for rule in rule_set.rules]
    texts = remedies(m, rule_set, [one.failure for one in judged])
    identity = _identities(m, [one.failure.failed for one in judged])
    return tuple(_outcome(m, one, identity, remedy) for one, remedy in zip(judged, texts, strict=True))


def layer_report(
    m: Measurements,
    rule_set: RuleSet,
    source: Source,
    diagnostics: tuple[Diagnostic, ...] = (),
) -> LayerReport:
    """A layer judged, with its table of measurements; what the openings say is added to the diagnostics."""
    said = (*diagnostics, *m.openings.diagnostics)
    return LayerReport(
        file=source.file,
        sha256=source.sha256,
        side=source.side,
        in_inches=m.openings.in_inches,
        bounds_mm=m.bounds_mm,
        openings=len(m.openings),
        open_area_mm2=float(m.area_mm2.sum()),
        diagnostics=_by_place(said),
        outcomes=judge(m, rule_set),
        table=opening_table(m, rule_set),
    )


def report_of_nothing(
    rule_set: RuleSet, source: Source, diagnostics: tuple[Diagnostic, ...], *, in_inches: bool
) -> LayerReport:
    """A layer without openings, of which every check has measured nothing."""
    return LayerReport(
        file=source.file,
        sha256=source.sha256,
        side=source.side,
        in_inches=in_inches,
        bounds_mm=(0.0, 0.0, 0.0, 0.0),
        openings=0,
        open_area_mm2=0.0,
        diagnostics=_by_place(diagnostics),
        outcomes=tuple(_nothing_measured(rule) for rule in rule_set.rules),
        table=NO_OPENINGS,
    )


def _by_place(said: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    return tuple(sorted(said, key=lambda one: (one.span.line, one.span.column, one.code)))


def _nothing_measured(rule: Rule) -> RuleOutcome:
    check = catalogue()[rule.check]
    return RuleOutcome(
        check=rule.check,
        title=check.title,
        quantity=check.quantity,
        unit=check.unit.value,
        limits=rule.limits,
        source=rule.source,
        measured=0,
        not_applicable=0,
        close=0,
        worst=None,
        findings=(),
    )


def opening_table(m: Measurements, rule_set: RuleSet) -> OpeningTable:
    """Measurements of every opening; webs as far as the rule set looks."""
    reaches_mm = [_reach(m, rule.limits, Unit.MM) for rule in rule_set.rules if rule.check == "web-width"]
    return OpeningTable(
        x_mm=m.centroid_mm[:, 0],
        y_mm=m.centroid_mm[:, 1],
        width_mm=m.width_mm,
        length_mm=m.length_mm,
        area_mm2=m.area_mm2,
        perimeter_mm=m.perimeter_mm,
        area_ratio=m.area_ratio,
        aspect_ratio=m.width_mm / m.foil.thickness_mm,
        web_mm=_nearest_web_mm(m, max(reaches_mm, default=0.0)),
        shape=m.openings.shape,
        label=m.openings.label,
        labels=m.openings.labels,
        line=m.openings.line,
    )


def summary(rule_set: RuleSet) -> RuleSetSummary:
    """What a report says of its rule set."""
    in_force = {rule.check for rule in rule_set.rules}
    return RuleSetSummary(
        name=rule_set.name,
        title=rule_set.title,
        file=rule_set.file,
        sha256=rule_set.sha256,
        foil_name=rule_set.foil.name,
        foil_material=rule_set.foil.material,
        foil_thickness_mm=rule_set.foil.thickness_mm,
        not_run=tuple(check for check in catalogue() if check not in in_force),
        notices=rule_set.notices,
    )


def _nearest_web_mm(m: Measurements, reach_mm: float) -> FloatArray:
    """Distance to the nearest other opening; NaN where none lies within reach. Shape (n,)."""
    nearest_mm = np.full(len(m.openings), np.nan)
    if reach_mm > 0:
        webs = m.webs_within(reach_mm)
        for opening in (webs.first, webs.second):
            np.fmin.at(nearest_mm, opening, webs.gap_mm)
    return nearest_mm


# ------------------------------------------------------------------------------------------------- judging


def _reach(m: Measurements, limits: Mapping[str, float], unit: Unit) -> float:
    """How far a check need look to see all that fails or is close to a limit from below."""
    below = [limit for name, limit in limits.items() if name.endswith("_below")]
    return max(below) + 2 * max(ROUNDING, _rounding(m, unit)) if below else 0.0


def _judged(m: Measurements, rule: Rule, check: Check) -> _Judged:
    readings = check.measure(m, Scope(rule.params, _reach(m, rule.limits, check.unit)))
    values, limits = readings.values, rule.limits
    if np.isinf(values).any():
        raise ValueError(f"{rule.check} reads something infinite")
    slack = readings.error + _rounding(m, check.unit)
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
    close = np.logical_or.reduce([np.abs(values - each) <= slack for each in limits.values()])
    return _Judged(
        rule,
        check,
        readings,
        int(np.count_nonzero(close)),
        Failure(check, limits, rows_of(readings, failed[order]), is_error[order], is_below[order]),
        limit[order],
    )


def _rounding(m: Measurements, unit: Unit) -> float:
    """
    Slack for what a file in inches has rounded, in the unit of the readings; 0 for ratios and in millimetres.

    Both ends of a length are off by half a step of the coordinates: 2.54 um with four decimals. Coarser
    files get no more, or their rounding would let failures pass; the layer's diagnostics tell of them.
    """
    if not m.openings.in_inches or unit is not Unit.MM:
        return 0.0
    return min(max(INCH_FILE_SLACK_MM, m.openings.step_mm), MOST_SLACK_MM)


def _worst(one: _Judged) -> float | None:
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


# ------------------------------------------------------------------------------------------------ findings


def _outcome(m: Measurements, one: _Judged, identity: TextArray, remedy: TextArray) -> RuleOutcome:
    count = len(one.readings.values)
    applicable = int(np.count_nonzero(~np.isnan(one.readings.values)))
    examined = one.readings.examined
    return RuleOutcome(
        check=one.rule.check,
        title=one.check.title,
        quantity=one.check.quantity,
        unit=one.check.unit.value,
        limits=one.rule.limits,
        source=one.rule.source,
        measured=applicable if examined is None else examined,
        not_applicable=count - applicable if examined is None else len(m.openings) - examined,
        close=one.close,
        worst=_worst(one),
        findings=tuple(_findings(m, one, identity, remedy)),
    )


def _findings(m: Measurements, one: _Judged, identity: TextArray, remedy: TextArray) -> Iterator[Finding]:
    failed = one.failure.failed
    opening, other = failed.opening, failed.other
    place_mm = m.centroid_mm[opening] if other is None else m.web_places_mm(opening, other)
    columns = (
        np.array([Level.WARNING, Level.ERROR], np.object_)[one.failure.is_error.astype(np.int64)].tolist(),
        repeat(one.rule.check),
        failed.values.tolist(),
        one.limit.tolist(),
        place_mm[:, 0].tolist(),
        place_mm[:, 1].tolist(),
        (opening + 1).tolist(),
        repeat(None) if other is None else (other + 1).tolist(),
        _labels(m, opening, opening if other is None else other).tolist(),
        m.openings.line[opening].tolist(),
        _fingerprints(one.rule.check, identity, failed),
        _texts(m, one).tolist(),
        remedy.tolist(),
        repeat("new"),
    )
    return map(Finding._make, zip(*columns, strict=False))  # some columns repeat without end


def _texts(m: Measurements, one: _Judged) -> TextArray:
    """What is wrong, in words; equal readings at equal limits are put into words once."""
    values, unit = one.failure.failed.values, one.check.unit.value
    rounding = _rounding(m, one.check.unit)
    rounded = f" (slack {shown_um(rounding)}: the file is in inches)" if rounding else ""
    kinds = distinct_rows(np.column_stack([values, one.limit]).view(np.int64))
    texts = []
    for row in kinds.first.tolist():
        value, limit = shown_apart(float(values[row]), float(one.limit[row]), unit)
        side = "below" if one.failure.is_below[row] else "above"
        texts.append(f"{one.check.quantity} {value} is {side} {limit}{rounded}")
    return np.array(texts, np.object_)[kinds.inverse]


def _labels(m: Measurements, first: IntArray, second: IntArray) -> TextArray:
    """Component of one opening, or of two."""
    labels = m.openings.labels
    kinds = distinct_rows(np.column_stack([m.openings.label[first], m.openings.label[second]]))
    pairs = zip(m.openings.label[first[kinds.first]], m.openings.label[second[kinds.first]], strict=True)
    texts = ["+".join(sorted({labels[a], labels[b]} - {""})) for a, b in pairs]
    return np.array(texts, np.object_)[kinds.inverse]


# ------------------------------------------------------------------------------------------------ identity


def _fingerprints(check: str, identity: TextArray, failed: Readings) -> list[str]:
    """A name for each finding that does not change when rows do."""
    one = identity[failed.opening].tolist()
    if failed.other is None:
        return [f"{check} {each}" for each in one]
    two = identity[failed.other].tolist()
    return [f"{check} {a} {b}" if a < b else f"{check} {b} {a}" for a, b in zip(one, two, strict=True)]


def _identities(m: Measurements, failed: Sequence[Readings]) -> TextArray:
    """
    A name for each opening that is in a finding: its component, and its place to 10 um.

    The place is counted from the lower left corner of the component's openings (of their centroids), so that
    it keeps when a part or a whole board is moved; without a component it is the place in the layer. Of
    openings at one place the second is marked #2, and so on. Shape (n,); None for all others.
    """
    label = m.openings.label
    place_nm = np.rint(m.centroid_mm * NM_PER_MM).astype(np.int64)
    corner_nm = np.full((len(m.openings.labels), 2), np.iinfo(np.int64).max)
    for axis in (0, 1):
        np.minimum.at(corner_nm[:, axis], label, place_nm[:, axis])
    corner_nm[[text == "" for text in m.openings.labels]] = 0
    step = steps_of_10_um((place_nm - corner_nm[label]) / NM_PER_MM)
    rank = _ranks(distinct_rows(np.column_stack([label, step])).inverse)
    rows = np.unique(np.concatenate([np.zeros(0, np.int64), *_openings_in(failed)]))
    names = np.empty(len(label), np.object_)
    columns = (label[rows], step[rows, 0] / 100, step[rows, 1] / 100, rank[rows])
    names[rows] = [
        f"{m.openings.labels[of]}@{x:.2f},{y:.2f}" + (f"#{nth + 1}" if nth else "")
        for of, x, y, nth in zip(*(column.tolist() for column in columns), strict=True)
    ]
    return names


def _openings_in(failed: Sequence[Readings]) -> Iterator[IntArray]:
    for readings in failed:
        yield readings.opening
        if readings.other is not None:
            yield readings.other


def _ranks(kind: IntArray) -> IntArray:
    """How many rows before each are of its kind. Shape (n,)."""
    order = np.argsort(kind, kind="stable")
    count = np.bincount(kind)
    rank = np.empty(len(kind), np.int64)
    rank[order] = within_runs(count)
    return rank
