"""What failed, as findings: where it is, in words, with what to do."""

from collections.abc import Iterator
from itertools import repeat

import numpy as np

from pastecheck.check import NO_OPENING, Readings, TextArray
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.judge.identity import Identity, fingerprints
from pastecheck.judge.readings import JudgedRule, rounding, worst
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows
from pastecheck.report import Finding, Level, RuleOutcome, Status
from pastecheck.units import shown_apart, slack_told


def outcome_of(m: Measurements, one: JudgedRule, identity: Identity, remedy: TextArray) -> RuleOutcome:
    """One rule's outcome, its findings worst first."""
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
        worst=worst(one),
        findings=tuple(_findings(m, one, identity, remedy)),
        missing=one.missing,
    )


def _findings(m: Measurements, one: JudgedRule, identity: Identity, remedy: TextArray) -> Iterator[Finding]:
    failed = one.failure.failed
    opening, other = failed.opening, failed.other
    place_mm = _places_mm(m, failed)
    there = opening != NO_OPENING
    columns = (
        np.array([Level.WARNING, Level.ERROR], np.object_)[one.failure.is_error.astype(np.int64)].tolist(),
        repeat(one.rule.check),
        failed.values.tolist(),
        one.limit.tolist(),
        place_mm[:, 0].tolist(),
        place_mm[:, 1].tolist(),
        [row + 1 if row != NO_OPENING else None for row in opening.tolist()],
        repeat(None) if other is None else (other + 1).tolist(),
        np.where(there, _labels(m, opening, opening if other is None else other), "").tolist(),
        np.where(there, m.openings.line[opening], 0).tolist(),
        fingerprints(one.rule.check, one.check, identity, failed, place_mm),
        _texts(m, one).tolist(),
        remedy.tolist(),
        repeat(Status.NEW),
        repeat(None),
    )
    return map(Finding._make, zip(*columns, strict=False))  # some columns repeat without end


def _places_mm(m: Measurements, failed: Readings) -> FloatArray:
    """Where each reading was taken. Shape (k, 2)."""
    if failed.place_mm is not None:
        return failed.place_mm
    if failed.other is not None:
        return m.web_places_mm(failed.opening, failed.other)
    return m.centroid_mm[failed.opening]


def _texts(m: Measurements, one: JudgedRule) -> TextArray:
    """What is wrong, in words; equal readings at equal limits are put into words once."""
    values, unit = one.failure.failed.values, one.check.unit.value
    rounded = slack_told(rounding(m, one.check.unit))
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
