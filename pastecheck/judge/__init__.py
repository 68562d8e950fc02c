"""A layer judged: each rule's readings held against its limits, and what failed as findings."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import NO_OPENING, Check, Unit, Worse
from pastecheck.checks import catalogue, documentation
from pastecheck.drawing import FloatArray
from pastecheck.jobsheet import job, totals
from pastecheck.judge.findings import outcome_of
from pastecheck.judge.identity import identity_of
from pastecheck.judge.readings import JudgedRule, judged_rule, judged_rules, reach, rounding
from pastecheck.measurements import Measurements
from pastecheck.remedies import Failure, remedies
from pastecheck.report import NO_OPENINGS, BesideFile, LayerReport, OpeningTable, RuleOutcome, RuleSetSummary
from pastecheck.rulesets import Rule, RuleSet
from pastecheck.source import Diagnostic

_IN_TABLE: Final = ("area-ratio", "aspect-ratio", "opening-width", "web-width")
"""Checks whose readings are columns of every table."""


class Source(NamedTuple):
    """Where a layer comes from."""

    file: str
    sha256: str
    side: str
    """top, bottom or unknown."""
    beside: tuple[BesideFile, ...] = ()
    """Copper, mask and outline that belong to it."""


class Judged(NamedTuple):
    """What each rule found, in order of the rule set."""

    outcomes: tuple[RuleOutcome, ...]
    readings: dict[str, FloatArray]
    """The worst reading of each opening, shape (n,), by check and unit; without those that have a column."""


def judge(
    m: Measurements, rule_set: RuleSet, checks: Mapping[str, Check] | None = None
) -> tuple[RuleOutcome, ...]:
    """What each rule finds, in order of the rule set; as `judged`."""
    return judged(m, rule_set, checks).outcomes


def judged(m: Measurements, rule_set: RuleSet, checks: Mapping[str, Check] | None = None) -> Judged:
    """
    What each rule finds, and what it read of each opening.

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
    m, rules = judged_rules(m, rule_set.rules, known)
    found = remedies(m, rule_set, [one.failure for one in rules], partial(failures_of, rules))
    identity = identity_of(m, [one.failure.failed for one in rules])
    both = zip(rules, found.texts, strict=True)
    outcomes = tuple(outcome_of(m, one, identity, texts) for one, texts in both)
    readings = {
        _column_name(one): _of_each_opening(m, one)
        for one in rules
        if one.rule.check not in _IN_TABLE and not one.missing
    }
    return Judged(outcomes, readings)


def failures_of(rules: Sequence[JudgedRule], m: Measurements, rows: Sequence[int]) -> Iterator[Failure]:
    """What fails of another layer, by some of the rules, one after the other."""
    return (judged_rule(m, rules[row].rule, rules[row].check).failure for row in rows)


def _column_name(one: JudgedRule) -> str:
    unit = "" if one.check.unit is Unit.RATIO else f"_{one.check.unit}"
    return one.rule.check.replace("-", "_") + unit


def _of_each_opening(m: Measurements, one: JudgedRule) -> FloatArray:
    """The worst reading of each opening; NaN where it has none. Shape (n,)."""
    readings = one.readings
    rows = np.arange(len(m.openings))
    if readings.other is None and np.array_equal(readings.opening, rows):
        return readings.values
    worst = np.full(len(m.openings), np.nan)
    keep = np.fmax if one.check.worse is Worse.ABOVE else np.fmin
    for row in (readings.opening, readings.other):
        if row is not None:
            there = row != NO_OPENING
            keep.at(worst, row[there], readings.values[there])
    return worst


def layer_report(
    m: Measurements,
    rule_set: RuleSet,
    source: Source,
    diagnostics: tuple[Diagnostic, ...] = (),
) -> LayerReport:
    """A layer judged, with its table of measurements; what the openings say is added to the diagnostics."""
    said = (*diagnostics, *m.openings.diagnostics)
    found = judged(m, rule_set)
    total = totals(m, rule_set, found.readings.get("deposit_volume_mm3"))
    return LayerReport(
        file=source.file,
        sha256=source.sha256,
        side=source.side,
        in_inches=m.openings.in_inches,
        bounds_mm=m.bounds_mm,
        openings=len(m.openings),
        open_area_mm2=float(m.area_mm2.sum()),
        diagnostics=in_order(said, source.file),
        outcomes=found.outcomes,
        table=opening_table(m, rule_set, found.readings),
        totals=total,
        job=job(m, rule_set, total, source.side),
        beside=source.beside,
        slack_mm=rounding(m, Unit.MM),
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
        diagnostics=in_order(diagnostics, source.file),
        outcomes=tuple(_nothing_measured(rule) for rule in rule_set.rules),
        table=NO_OPENINGS,
        totals=None,
        job=None,
        beside=source.beside,
    )


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


def in_order(said: tuple[Diagnostic, ...], file: str) -> tuple[Diagnostic, ...]:
    """Diagnostics by their places; those about other files than the layer behind."""

    def place(one: Diagnostic) -> tuple[bool, str, int, int, str]:
        span = one.span
        return span.path != file, span.path, span.line, span.column, one.code

    return tuple(sorted(said, key=place))


def opening_table(
    m: Measurements, rule_set: RuleSet, more: Mapping[str, FloatArray] = MappingProxyType({})
) -> OpeningTable:
    """Measurements of every opening; webs as far as the rule set looks."""
    reaches_mm = [reach(m, rule.limits, Unit.MM) for rule in rule_set.rules if rule.check == "web-width"]
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
        row=m.row_of_part,
        pitch_mm=m.rows.pitch_mm,
        in_grid=m.rows.are_in_grids,
        more=more,
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
        documentation={rule.check: _documented(rule.check) for rule in rule_set.rules},
    )


def _documented(check_id: str) -> str:
    """All that is to be known of a check before one trusts it."""
    check = catalogue()[check_id]
    facts = (f"Definition: {check.definition}.", f"Error bound: {check.error_bound}.")
    return "\n\n".join([documentation(check_id).strip(), *facts])


def _nearest_web_mm(m: Measurements, reach_mm: float) -> FloatArray:
    """Distance to the nearest other opening; NaN where none lies within reach. Shape (n,)."""
    nearest_mm = np.full(len(m.openings), np.nan)
    if reach_mm > 0:
        webs = m.webs_within(reach_mm)
        for opening in (webs.first, webs.second):
            np.fmin.at(nearest_mm, opening, webs.gap_mm)
    return nearest_mm
