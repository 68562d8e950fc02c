"""
The findings as SARIF 2.1.0, for what shows them beside the files: code hosts, editors, CI systems.

One run. Each check of the rule set is a rule with its documentation; each finding a result at the line of
the layer on which its opening is first drawn, with the other opening of a pair as a related place. What is
said of the files, and of checks that could not measure, stands with the invocation. There is no clock and
nothing of the machine in it, one result is a line, and all is ASCII, so that equal reports are equal bytes.

Written from the published schema and from memory of the OASIS standard (version 2.1.0).
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from pastecheck.report import Finding, LayerReport, Level, Report, RuleOutcome, RuleSetSummary, Status, Waiver
from pastecheck.reporters import Reporter
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._json import dumps, places, rounded
from pastecheck.reporters._one_finding import message, why_not_judged
from pastecheck.reporters._sarif_texts import help_of, plain, uri
from pastecheck.source import Diagnostic, Span

SCHEMA: Final = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT: Final = "pastecheckFinding/v1"
"""Of the key under which a finding is known again; the number grows when fingerprints are made otherwise."""

_BASELINE: Final[Mapping[Status, str]] = {Status.NEW: "new", Status.KNOWN: "unchanged"}
"""A waived finding may be either."""


def chunks(report: Report) -> Iterator[str]:
    """
    The log in pieces.

    Raises:
        ValueError: If a number is not finite: JSON has no word for it, and no finding may have one.
    """
    outcomes = _rules(report)
    codes = sorted({said.code for layer in report.layers for said in layer.diagnostics})
    artifacts = _artifacts(report.layers)
    number = {artifact["location"]["uri"]: row for row, artifact in enumerate(artifacts)}
    rules = [_rule(outcome, report.rule_set) for outcome in outcomes.values()]
    driver = {
        "name": "pastecheck",
        "semanticVersion": report.tool_version,
        "rules": rules,
        "notifications": [_code(code) for code in codes],
    }
    yield f'{{"$schema": {dumps(SCHEMA)}, "version": "2.1.0", "runs": [{{\n'
    yield f'"tool": {{"driver": {dumps(driver)}}},\n'
    yield f'"invocations": [{dumps(_invocation(report, number))}],\n'
    yield f'"artifacts": {dumps(artifacts)},\n'
    yield f'"properties": {dumps(_properties(report))},\n'
    yield '"columnKind": "unicodeCodePoints",\n"newlineSequences": ["\\r\\n", "\\n", "\\r"],\n"results": ['
    row = {check: row for row, check in enumerate(outcomes)}
    between = "\n"
    for layer in report.layers:
        place = {"uri": uri(layer.file), "index": number[uri(layer.file)]}
        for outcome in layer.outcomes:
            for finding in outcome.findings:
                result = _result(finding, layer, outcome.unit, place, report)
                yield between + dumps({"ruleId": outcome.check, "ruleIndex": row[outcome.check], **result})
                between = ",\n"
    yield "\n]}]}\n"


# ------------------------------------------------------------------------------------------------------ rules


def _rules(report: Report) -> dict[str, RuleOutcome]:
    """The rules that ran, each once, for all layers are held against one rule set."""
    return {outcome.check: outcome for layer in reversed(report.layers) for outcome in layer.outcomes}


def _rule(outcome: RuleOutcome, rule_set: RuleSetSummary) -> dict[str, Any]:
    told = help_of(outcome, rule_set.documentation.get(outcome.check, ""))
    is_named = outcome.title.lower() != outcome.check  # a name that is the id is left out, by the standard
    return {
        "id": outcome.check,
        **({"name": outcome.title} if is_named else {}),
        "shortDescription": {"text": told.short},
        "fullDescription": told.full,
        "help": told.help,
        "defaultConfiguration": {"level": _worst_level(outcome)},
        "properties": {
            "quantity": outcome.quantity,
            "unit": outcome.unit,
            "limits": {name: rounded(limit) for name, limit in outcome.limits.items()},
            "source": harmless(outcome.source),
        },
    }


def _worst_level(outcome: RuleOutcome) -> str:
    """The worst that a finding of it can be."""
    if any(name.startswith("error_") for name in outcome.limits):
        return Level.ERROR.value
    return Level.WARNING.value if outcome.limits else "none"


def _code(code: str) -> dict[str, Any]:
    """What a diagnostic is of."""
    return {"id": code, "help": {"text": f"To be told what it means: pastecheck explain {code}"}}


# ---------------------------------------------------------------------------------------------------- results


def _result(
    finding: Finding, layer: LayerReport, unit: str, place: Mapping[str, Any], report: Report
) -> dict[str, Any]:
    """A finding; held against an earlier report it is new or unchanged."""
    table = layer.table
    openings = [row - 1 for row in (finding.opening, finding.other) if row is not None]
    labels = [table.labels[table.label[row]] for row in openings[:1]] or [finding.label]
    result: dict[str, Any] = {
        "level": finding.level.value,
        "message": _message(message(finding)),
        "locations": [_location(place, finding.line, labels[0])],
        "partialFingerprints": {FINGERPRINT: harmless(finding.fingerprint)},
        "properties": {
            "value": rounded(finding.value),
            "limit": rounded(finding.limit),
            "unit": unit,
            "at_mm": places([finding.x_mm, finding.y_mm]),
        },
    }
    if openings[1:]:
        other = openings[1]
        told = _location(place, int(table.line[other]), table.labels[table.label[other]])
        result["relatedLocations"] = [{"id": 1, **told, "message": {"text": "The other opening."}}]
    if finding.status is Status.WAIVED:
        result["suppressions"] = [_suppression(finding, report.waivers)]
    if report.known is not None and finding.status in _BASELINE:
        result["baselineState"] = _BASELINE[finding.status]
    return result


def _suppression(finding: Finding, waivers: Sequence[Waiver]) -> dict[str, Any]:
    """That somebody accepts a finding, and why."""
    why: dict[str, Any] = {}
    if finding.waiver is not None:
        waiver = waivers[finding.waiver - 1]
        why = {
            "justification": harmless(waiver.reason),
            "location": {
                "physicalLocation": {
                    "artifactLocation": {"uri": uri(waiver.file)},
                    "region": {"startLine": waiver.line},
                }
            },
            "properties": {"until": waiver.until} if waiver.until else {},
        }
    return {"kind": "external", "status": "accepted", **why}


def _location(place: Mapping[str, Any], line: int, label: str) -> dict[str, Any]:
    """A line of a layer, where there is one, and the component, where it is named."""
    physical: dict[str, Any] = {"artifactLocation": place}
    if line:
        physical["region"] = {"startLine": line}
    location: dict[str, Any] = {"physicalLocation": physical}
    if label:
        location["logicalLocations"] = [{"name": harmless(label), "kind": "component"}]
    return location


# ------------------------------------------------------------------------------------- files and what is said


def _artifacts(layers: Sequence[LayerReport]) -> list[dict[str, Any]]:
    """Every file that was read, each once: layers, and what was named beside them."""
    files = {layer.file: ("analysisTarget", layer.sha256) for layer in layers}
    for layer in layers:
        for one in layer.beside:
            files.setdefault(one.file, ("referencedOnCommandLine", one.sha256))
    found: dict[str, dict[str, Any]] = {}
    for file, (role, sha256) in files.items():
        artifact = {"location": {"uri": uri(file)}, "roles": [role], "hashes": {"sha-256": sha256}}
        found.setdefault(uri(file), artifact)
    return list(found.values())


def _invocation(report: Report, number: Mapping[str, int]) -> dict[str, Any]:
    """Whether all could be judged, and what was said besides findings."""
    said = [_notification(one, number) for layer in report.layers for one in layer.diagnostics]
    notices = [{"level": "note", "message": _message(notice)} for notice in report.rule_set.notices]
    return {
        "executionSuccessful": not any(layer.lacks_openings for layer in report.layers),
        "toolExecutionNotifications": said,
        "toolConfigurationNotifications": [*notices, *_not_judged(report.layers, number)],
    }


def _notification(said: Diagnostic, number: Mapping[str, int]) -> dict[str, Any]:
    return {
        "descriptor": {"id": said.code},
        "level": said.level.value,
        "message": _message(said.text),
        "locations": [{"physicalLocation": _physical(said.span, number)}],
    }


def _physical(span: Span, number: Mapping[str, int]) -> dict[str, Any]:
    """A place in a file that was read, or that a layer was looked for in."""
    address = uri(span.path)
    row = {"index": number[address]} if address in number else {}
    physical: dict[str, Any] = {"artifactLocation": {"uri": address, **row}}
    if span.line:
        physical["region"] = {"startLine": span.line, "startColumn": span.column or 1}
    return physical


def _not_judged(layers: Sequence[LayerReport], number: Mapping[str, int]) -> Iterator[dict[str, Any]]:
    """Checks that say nothing about a layer: no result of theirs must not pass for good."""
    for layer in layers:
        for outcome in layer.outcomes:
            if reason := why_not_judged(outcome):
                yield {
                    "associatedRule": {"id": outcome.check},
                    "level": "note",
                    "message": _message(f"{outcome.check}: {reason}"),
                    "locations": [{"physicalLocation": _physical(Span(layer.file), number)}],
                }


def _properties(report: Report) -> dict[str, Any]:
    """The verdicts, and what they were made with."""
    rule_set = report.rule_set
    return {
        "verdict": report.verdict.value,
        "ruleSet": {
            "name": harmless(rule_set.name),
            "title": harmless(rule_set.title),
            "file": harmless(rule_set.file),
            "sha256": rule_set.sha256,
            "foil": harmless(rule_set.foil_name),
            "thickness_mm": rounded(rule_set.foil_thickness_mm),
            "notRun": list(rule_set.not_run),
        },
        "layers": [
            {
                "uri": uri(layer.file),
                "side": layer.side,
                "verdict": layer.verdict.value,
                "openings": layer.openings,
                "fileWarnings": layer.file_warnings,
            }
            for layer in report.layers
        ],
    }


# ---------------------------------------------------------------------------------------------------- writing


def _message(text: str) -> dict[str, str]:
    return {"text": plain(text)}


REPORTER = Reporter("sarif", "the findings as SARIF 2.1.0, for code hosts, editors and CI systems", chunks)
