"""A layer held against rule sets: what hinders each of them, and the thickness that a foil may have."""

from collections.abc import Hashable, Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import NO_OPENING, ROUNDING, Unit
from pastecheck.checks import catalogue
from pastecheck.films.openings import components, told
from pastecheck.films.outcome import Held, Hindrance, LayerFilms, Thickness
from pastecheck.films.thickness import DEPENDING, Ends, ends
from pastecheck.judge import Source, in_order
from pastecheck.judge.readings import JudgedRule, judged_rules, reach
from pastecheck.measurements import Measurements
from pastecheck.report import Level, Verdict
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import UM_PER_MM

_OF_WEBS: Final = "web-width"


class _Process(NamedTuple):
    """Rule sets that have one range of thickness."""

    foil: str
    cutter: str
    limits: Hashable
    """All that the range depends on."""


def held(
    m: Measurements, rule_sets: Sequence[RuleSet], source: Source, diagnostics: tuple[Diagnostic, ...] = ()
) -> LayerFilms:
    """
    A layer held against rule sets; what its openings say is added to the diagnostics.

    Raises:
        TooMuchError: If more is near each other than is read.
    """
    said = in_order((*diagnostics, *m.openings.diagnostics), source.file)
    of_file = sum(one.level is DiagnosticLevel.WARNING for one in said)
    results: list[Held] = []
    ranges: dict[_Process, tuple[Ends, list[str]]] = {}
    for rule_set in rule_sets:
        m = m.in_foil(rule_set.foil, rule_set.sheet)  # with what was measured for those before
        judged, rules = judged_rules(m, rule_set.rules, catalogue())
        process = _process(rule_set)
        if process not in ranges:
            ranges[process] = ends(judged, rules), []
        ranges[process][1].append(rule_set.name)
        results.append(_held(judged, rule_set, rules, ranges[process][0], of_file))
    return LayerFilms(
        file=source.file,
        sha256=source.sha256,
        side=source.side,
        beside=source.beside,
        bounds_mm=m.bounds_mm,
        openings=len(m.openings),
        open_area_mm2=float(m.area_mm2.sum()),
        worst_web_mm=_worst_web_mm(m, rule_sets),
        diagnostics=said,
        held=tuple(results),
        thickness=tuple(_thickness(*one) for one in ranges.items()),
    )


def held_of_nothing(source: Source, diagnostics: tuple[Diagnostic, ...]) -> LayerFilms:
    """A layer without openings, of which no rule set can say anything."""
    return LayerFilms(
        file=source.file,
        sha256=source.sha256,
        side=source.side,
        beside=source.beside,
        bounds_mm=(0.0, 0.0, 0.0, 0.0),
        openings=0,
        open_area_mm2=0.0,
        worst_web_mm=None,
        diagnostics=in_order(diagnostics, source.file),
        held=(),
        thickness=(),
    )


def _held(m: Measurements, rule_set: RuleSet, rules: Sequence[JudgedRule], of: Ends, of_file: int) -> Held:
    found = [one for rule in rules for one in _hindrances(m, rule)]
    errors = sum(one.count for one in found if one.level is Level.ERROR)
    warnings = sum(one.count for one in found if one.level is Level.WARNING) + of_file
    least_um = 0 if of.thinnest is None else of.thinnest.thickness_um
    return Held(
        name=rule_set.name,
        file=rule_set.file,
        verdict=Verdict.FAIL if errors else Verdict.CARE if warnings else Verdict.PASS,
        errors=errors,
        warnings=warnings,
        worst_area_ratio=float(m.area_ratio.min()),
        hindrances=tuple(sorted(found, key=lambda one: one.level is not Level.ERROR)),
        paste_share=of.fed.worst_share(rule_set.foil.thickness_mm),
        feeds=least_um is not None and rule_set.foil.thickness_mm * UM_PER_MM >= least_um - ROUNDING,
        thinnest_um=least_um,
    )


def _hindrances(m: Measurements, one: JudgedRule) -> Iterator[Hindrance]:
    """What a rule finds at each level; the first of what failed is the worst."""
    failed, is_error = one.failure.failed, one.failure.is_error
    for level, of_level in ((Level.ERROR, is_error), (Level.WARNING, ~is_error)):
        rows = np.flatnonzero(of_level)
        if not len(rows):
            continue
        worst = rows[0]
        there = np.concatenate([opening[rows] for opening in failed.pairs])
        opening = int(failed.opening[worst])
        yield Hindrance(
            check=one.rule.check,
            quantity=one.check.quantity,
            unit=one.check.unit.value,
            level=level,
            count=len(rows),
            value=float(failed.values[worst]),
            limit=float(one.limit[worst]),
            is_below=bool(one.failure.is_below[worst]),
            components=components(m, there[there != NO_OPENING]),
            opening=told(m, opening) if opening != NO_OPENING else None,
        )


def _worst_web_mm(m: Measurements, rule_sets: Sequence[RuleSet]) -> float | None:
    rules = [rule for rule_set in rule_sets for rule in rule_set.rules if rule.check == _OF_WEBS]
    webs = m.webs_within(max((reach(m, rule.limits, Unit.MM) for rule in rules), default=0.0))
    return float(webs.gap_mm.min()) if len(webs.gap_mm) else None


def _process(rule_set: RuleSet) -> _Process:
    limits = tuple(
        (rule.check, *sorted(rule.limits.items()), rule.params)
        for rule in rule_set.rules
        if rule.check in DEPENDING
    )
    return _Process(rule_set.foil.name, rule_set.cutter, limits)


def _thickness(process: _Process, found: tuple[Ends, list[str]]) -> Thickness:
    of, names = found
    return Thickness(
        rule_sets=tuple(names),
        foil=process.foil,
        cutter=process.cutter,
        thickest=of.thickest,
        thickest_clean=of.thickest_clean,
        thinnest=of.thinnest,
        not_known=of.not_known,
    )
