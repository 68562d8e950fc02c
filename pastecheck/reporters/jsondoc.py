"""
The whole report as JSON, for scripts; `report.schema.json` in the package describes it.

Everything is in the order of the report, one finding a line, in ASCII (other characters are escaped), so that
equal reports are equal bytes and two of them can be compared line by line.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from itertools import chain
from json.encoder import encode_basestring_ascii
from typing import Any

import numpy as np

from pastecheck.bench import Job, Totals
from pastecheck.drawing import IntArray
from pastecheck.report import (
    BesideFile,
    Finding,
    KnownReport,
    LayerReport,
    OpeningTable,
    Report,
    RuleOutcome,
    RuleSetSummary,
    Settled,
    Status,
    Waiver,
)
from pastecheck.reporters import Reporter
from pastecheck.reporters._causes import causes
from pastecheck.reporters._json import (
    DECIMALS,
    PLACE_DECIMALS,
    diagnostic,
    dumps,
    places,
    plain,
    rounded,
    schema_of,
)
from pastecheck.reporters._landmarks import landmarks
from pastecheck.reporters._told import Cause

FORMAT = "pastecheck report"
FORMAT_VERSION = 1

_AT_ONCE = 1_000
"""Findings; more at once are slower, for they leave the processor's cache."""

GROUPS_TOLD = 1_000
"""Of a layer, the worst; who wants more of them groups the findings, which have the number of theirs."""

_FINDING = (
    '{"level": %s, "value": %r, "limit": %r, "at_mm": [%r, %r], "opening": %s, "other": %s, "label": %s, '
    '"line": %d, "fingerprint": %s, "text": %s, "remedy": %s, "status": %s, '
    '"waiver": %s, "group": %d, "openings_mm": %s}'
)


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the report."""
    return schema_of("report")


def chunks(report: Report) -> Iterator[str]:
    """
    The report in pieces.

    Raises:
        ValueError: If a number is not finite: JSON has no word for it, and no finding may have one.
    """
    yield "{" + ",\n".join(
        f'"{key}": {dumps(value)}'
        for key, value in {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "tool": {"name": "pastecheck", "version": report.tool_version},
            "verdict": report.verdict.value,
            "rule_set": rule_set_members(report.rule_set),
            "known": None if report.known is None else _members(report.known),
            "waivers": [_members(one) for one in report.waivers],
        }.items()
    )
    yield ',\n"layers": ['
    for number, layer in enumerate(report.layers):
        yield ",\n" if number else "\n"
        yield from _layer(layer)
    yield "\n]}\n"


def rule_set_members(rule_set: RuleSetSummary) -> dict[str, Any]:
    """What a document says of the rule set."""
    return {
        "name": rule_set.name,
        "title": rule_set.title,
        "file": rule_set.file,
        "sha256": rule_set.sha256,
        "foil": {
            "name": rule_set.foil_name,
            "material": rule_set.foil_material,
            "thickness_mm": rounded(rule_set.foil_thickness_mm),
        },
        "not_run": list(rule_set.not_run),
        "notices": list(rule_set.notices),
    }


def _layer(layer: LayerReport) -> Iterator[str]:
    found = causes(layer, GROUPS_TOLD)
    yield _opened(
        {
            "file": layer.file,
            "sha256": layer.sha256,
            "side": layer.side,
            "beside": [_members(one) for one in layer.beside],
            "in_inches": layer.in_inches,
            "slack_mm": rounded(layer.slack_mm),
            "bounds_mm": places(layer.bounds_mm),
            "openings": layer.openings,
            "open_area_mm2": rounded(layer.open_area_mm2),
            "verdict": layer.verdict.value,
            "diagnostics": [diagnostic(said) for said in layer.diagnostics],
            "totals": None if layer.totals is None else _members(layer.totals),
            "job": None if layer.job is None else _job(layer.job),
            "settled": None if layer.settled is None else _members(layer.settled),
            "landmarks_mm": [places(row) for row in _landmarks(layer.table)],
            "groups_left_out": found.more,
        }
    )
    yield ', "groups": ['
    new = _new_findings(layer, found.of_findings, len(found.shown))
    for number, cause in enumerate(found.shown):
        yield (",\n" if number else "\n") + dumps(_group(number + 1, cause, new[number]))
    yield "\n]" if found.shown else "]"
    yield ', "rules": ['
    group = np.split(found.of_findings + 1, np.cumsum([len(one.findings) for one in layer.outcomes]))
    for number, (outcome, groups) in enumerate(zip(layer.outcomes, group, strict=False)):
        yield ",\n" if number else "\n"
        yield from _rule(outcome, groups, layer.table)
    yield "\n]}"


def _landmarks(table: OpeningTable) -> list[list[float]]:
    """Place and size of some openings."""
    rows = landmarks(table)
    columns = (table.x_mm, table.y_mm, table.width_mm, table.length_mm)
    some: list[list[float]] = np.column_stack([column[rows] for column in columns]).tolist()
    return some


def _job(job: Job) -> dict[str, Any]:
    members = _members(job)
    if job.time is not None:
        members["time"]["within_s"] = [rounded(seconds) for seconds in job.time.within_s]
    return members


def _new_findings(layer: LayerReport, group: IntArray, groups: int) -> list[int]:
    """How many findings of each group are new."""
    is_new = [found.status is Status.NEW for one in layer.outcomes for found in one.findings]
    counts: list[int] = np.bincount(group[np.array(is_new, bool)], minlength=groups).tolist()
    return counts


def _group(number: int, cause: Cause, new: int) -> dict[str, Any]:
    return {
        "group": number,
        "level": cause.level.value,
        "new": new,
        "kind": cause.kind.name.lower(),
        "count": cause.count,
        "among": cause.among,
        "components": list(cause.components),
        "rows": None if cause.rows is None else plain(cause.rows._asdict()),
        "sizes": [plain(size._asdict()) for size in cause.sizes],
        "within_mm": places(cause.within_mm),
        "checks": [
            {
                "check": one.worst.check,
                "findings": one.findings,
                "errors": one.errors,
                "worst": rounded(one.worst.value),
            }
            for one in cause.failed
        ],
        "remedies": list(cause.remedies),
    }


def _rule(outcome: RuleOutcome, group: IntArray, table: OpeningTable) -> Iterator[str]:
    yield _opened(
        {
            "check": outcome.check,
            "title": outcome.title,
            "quantity": outcome.quantity,
            "unit": outcome.unit,
            "limits": {name: rounded(limit) for name, limit in outcome.limits.items()},
            "source": outcome.source,
            "missing": outcome.missing,
            "measured": outcome.measured,
            "not_applicable": outcome.not_applicable,
            "close": outcome.close,
            "worst": None if outcome.worst is None else rounded(outcome.worst),
        }
    )
    yield ', "findings": ['
    for start in range(0, len(outcome.findings), _AT_ONCE):
        yield ",\n" if start else "\n"
        some = slice(start, start + _AT_ONCE)
        yield _some_findings(outcome.findings[some], group[some].tolist(), table)
    yield "\n]}" if outcome.findings else "]}"


def _some_findings(findings: tuple[Finding, ...], group: list[int], table: OpeningTable) -> str:
    """Findings a line each, written column by column, for there can be very many."""
    level, _, value, limit, x_mm, y_mm, opening, other, label, line, fingerprint, text, *rest = zip(
        *findings, strict=True
    )
    remedy, status, waiver = rest
    columns = (
        _texts(level),
        _numbers(value, DECIMALS),
        _numbers(limit, DECIMALS),
        _numbers(x_mm, PLACE_DECIMALS),
        _numbers(y_mm, PLACE_DECIMALS),
        ["null" if row is None else row for row in opening],
        ["null" if row is None else row for row in other],
        _texts(label),
        line,
        map(encode_basestring_ascii, fingerprint),
        _texts(text),
        _texts(remedy),
        _texts(status),
        ["null" if row is None else row for row in waiver],
        group,
        _middles(table, opening, other),
    )
    pattern = ",\n".join([_FINDING] * len(findings))
    return pattern % tuple(chain.from_iterable(zip(*columns, strict=True)))


def _middles(
    table: OpeningTable, opening: tuple[int | None, ...], other: tuple[int | None, ...]
) -> Iterator[str]:
    """The middles of the openings of each finding."""
    one, two = (np.array([row or 0 for row in rows], np.int64) - 1 for rows in (opening, other))
    places = (
        np.round(of[rows], PLACE_DECIMALS) + 0.0 for rows in (one, two) for of in (table.x_mm, table.y_mm)
    )
    columns = (one, two, *places)
    for row, other_row, x, y, other_x, other_y in zip(*(column.tolist() for column in columns), strict=True):
        if row < 0:
            yield "[]"
        else:
            yield f"[[{x}, {y}], [{other_x}, {other_y}]]" if other_row >= 0 else f"[[{x}, {y}]]"


def _texts(column: tuple[str, ...]) -> Iterator[str]:
    """Each text as JSON; equal ones are written once."""
    written: Mapping[str, str] = {text: encode_basestring_ascii(text) for text in set(column)}
    return map(written.__getitem__, column)


def _numbers(column: tuple[float, ...], decimals: int) -> list[float]:
    values = np.array(column, np.float64)
    if not np.isfinite(values).all():
        raise ValueError("a finding has a number that is not finite")
    numbers: list[float] = (np.round(values, decimals) + 0.0).tolist()  # no negative zero
    return numbers


def _members(one: Totals | Job | BesideFile | KnownReport | Settled | Waiver) -> dict[str, Any]:
    """The fields of plain data, and of what is in it, under their own names."""
    members: dict[str, Any] = plain(asdict(one))
    return members


def _opened(members: Mapping[str, Any]) -> str:
    """An object that more is to be added to."""
    return dumps(members).removesuffix("}")


REPORTER = Reporter("json", "the whole report, for scripts", chunks)
