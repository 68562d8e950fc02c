"""
The report as JUnit XML, which CI systems show as a list of tests.

No standard says what such a file holds; this is what readers of it have in common (from memory), within a
schema in wide use (junit-10.xsd, which stands beside the tests). A layer is a testsuite, and each check of
the rule set a testcase in it. One testcase more, `layer file`, stands for what is said of the files
themselves. A testcase has a failure where an error is new, or a warning where `--fail-on warning` was asked
for, and is skipped where the check says nothing about the layer. Its output tells its figures, in the first
line, and what does not fail. Those of the layer are properties; a testcase has none by the schema. There are
no times, so that equal reports are equal bytes.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Final
from xml.etree import ElementTree as ET

from pastecheck.report import Finding, LayerReport, Level, Report, RuleOutcome, Status
from pastecheck.reporters import Reporter
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._json import rounded
from pastecheck.reporters._one_finding import message, why_not_judged
from pastecheck.reporters._phrases import many
from pastecheck.source import Diagnostic

FILE_CASE: Final = "layer file"
TOLD: Final = 100
"""Findings told of a testcase, the worst; viewers choke on more, and the properties count all."""

_TAGS: Final = {"tests": "testcase", "failures": "failure", "errors": "error", "skipped": "skipped"}
"""What the counts of a suite count."""


def chunks(report: Report) -> Iterator[str]:
    """The document in one piece; it is never long, for of very many findings only some are told."""
    root = ET.Element("testsuites", {"name": "pastecheck"})
    root.extend(_suite(layer, report) for layer in report.layers)
    _count(root, "tests", "failures", "errors")
    ET.indent(root)
    yield '<?xml version="1.0" encoding="UTF-8"?>\n'
    yield ET.tostring(root, encoding="unicode")
    yield "\n"


def _suite(layer: LayerReport, report: Report) -> ET.Element:
    suite = ET.Element("testsuite", {"name": harmless(layer.file)})
    new = [finding.level for finding in layer.findings(Status.NEW)]
    figures = {
        "verdict": layer.verdict.value,
        "rule_set": report.rule_set.name,
        "rule_set_sha256": report.rule_set.sha256,
        "sha256": layer.sha256,
        "side": layer.side,
        "openings": layer.openings,
        "open_area_mm2": rounded(layer.open_area_mm2),
        "errors": new.count(Level.ERROR),
        "warnings": new.count(Level.WARNING),
        "file_warnings": layer.file_warnings,
        "known": sum(1 for _ in layer.findings(Status.KNOWN)),
        "waived": sum(1 for _ in layer.findings(Status.WAIVED)),
    }
    properties = ET.SubElement(suite, "properties")
    for name, value in figures.items():
        ET.SubElement(properties, "property", {"name": name, "value": harmless(str(value))})
    suite.append(_of_file(layer, report.fails_at))
    suite.extend(_of_rule(layer, outcome, report.fails_at) for outcome in layer.outcomes)
    _count(suite, *_TAGS)
    return suite


def _count(element: ET.Element, *names: str) -> None:
    """Say how many testcases are in there, and what they came to."""
    for name in names:
        element.set(name, str(sum(1 for _ in element.iter(_TAGS[name]))))


# -------------------------------------------------------------------------------------------------- testcases


def _of_file(layer: LayerReport, fails_at: Level) -> ET.Element:
    """What is said of the file. It fails only by warnings, as all worse is no report but an error."""
    case = _case(layer, FILE_CASE)
    said = [_said(one, layer) for one in layer.diagnostics]
    figures = {"warnings": layer.file_warnings, "said": len(said)}
    if layer.lacks_openings:
        _tell(case, "error", "the layer holds nothing to cut", "no-openings", said)
        said = []
    elif layer.file_warnings and fails_at is Level.WARNING:
        _tell(case, "failure", many(layer.file_warnings, "warning"), Level.WARNING.value, said)
        said = []
    _output(case, figures, said)
    return case


def _of_rule(layer: LayerReport, outcome: RuleOutcome, fails_at: Level) -> ET.Element:
    case = _case(layer, outcome.check)
    new, dealt_with = _parted(outcome.findings, lambda finding: finding.status is Status.NEW)
    levels = {level: sum(finding.level is level for finding in new) for level in Level}
    failing, passing = _parted(new, lambda one: one.level is Level.ERROR or fails_at is Level.WARNING)
    if failing:
        counted = ", ".join(many(count, level) for level, count in levels.items() if count)
        head = f"{counted}; the worst: {message(failing[0])}"
        _tell(case, "failure", head, failing[0].level.value, _lines(failing))
    elif reason := why_not_judged(outcome):
        ET.SubElement(case, "skipped", {"message": harmless(reason)})
    figures = {**_figures(outcome), **{f"{level}s": count for level, count in levels.items()}}
    _output(case, figures, _lines([*passing, *dealt_with]))
    return case


def _parted(
    findings: Iterable[Finding], is_one: Callable[[Finding], bool]
) -> tuple[list[Finding], list[Finding]]:
    """Those that are, and those that are not, in the order they have."""
    ones: list[Finding] = []
    others: list[Finding] = []
    for finding in findings:
        (ones if is_one(finding) else others).append(finding)
    return ones, others


def _figures(outcome: RuleOutcome) -> dict[str, object]:
    states = [finding.status for finding in outcome.findings]
    return {
        "unit": outcome.unit,
        **{name: rounded(limit) for name, limit in outcome.limits.items()},
        "measured": outcome.measured,
        "not_applicable": outcome.not_applicable,
        "close": outcome.close,
        "worst": "none" if outcome.worst is None else rounded(outcome.worst),
        "known": states.count(Status.KNOWN),
        "waived": states.count(Status.WAIVED),
    }


def _case(layer: LayerReport, name: str) -> ET.Element:
    return ET.Element("testcase", {"classname": harmless(layer.file), "name": harmless(name)})


# ------------------------------------------------------------------------------------------------------ texts


def _tell(case: ET.Element, tag: str, head: str, kind: str, lines: Sequence[str]) -> None:
    told = ET.SubElement(case, tag, {"message": harmless(head), "type": kind})
    told.text = "\n".join(lines)


def _output(case: ET.Element, figures: Mapping[str, object], lines: Sequence[str]) -> None:
    """The figures in the first line; none of them has a blank in it."""
    first = " ".join(f"{name}={value}" for name, value in figures.items())
    ET.SubElement(case, "system-out").text = "\n".join([first, *lines])


def _lines(findings: Sequence[Finding]) -> list[str]:
    """A line for each of the worst, and one that counts the rest."""
    lines = [_line(finding) for finding in islice(findings, TOLD)]
    if more := len(findings) - len(lines):
        lines.append(f"and {many(more, 'more finding')}: --json FILE writes every one")
    return lines


def _line(finding: Finding) -> str:
    state = "" if finding.status is Status.NEW else f"{finding.status} "
    line = f" (line {finding.line} of the layer)" if finding.line else ""
    return harmless(f"{state}{finding.level}: {message(finding)}{line}")


def _said(one: Diagnostic, layer: LayerReport) -> str:
    place = "" if one.span.path == layer.file and not one.span.line else f"{one.span}: "
    return harmless(f"{one.level}: {place}{one.text} [{one.code}]")


REPORTER = Reporter("junit", "JUnit XML, for CI systems", chunks)
