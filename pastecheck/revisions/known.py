"""A report held against an earlier one: what was known then is known, and only the rest is new."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import islice
from math import isnan
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.errors import NoOpeningsError
from pastecheck.report import Finding, KnownReport, LayerReport, Report, Settled, Status
from pastecheck.revisions.found import Found, found_in, is_worse, same, standing_in, would_have_passed
from pastecheck.revisions.known_file import Known, KnownLayer
from pastecheck.revisions.places import Matched
from pastecheck.revisions.sides import Side, counterparts
from pastecheck.revisions.ways import NO_WAY, Placed, Way, common_way, placed_at
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import NM_PER_MM, shown, slack_told

_WHERE: Final = re.compile(r"(\(-?[0-9.]+, -?[0-9.]+\))|lines? [0-9]+(?:, [0-9]+)*(?: and [0-9]+ more)?")


def held_against(report: Report, known: Known) -> Report:
    """
    The report with what is known marked as such.

    A finding is known if the earlier report has one of the same check at the same place (after the way by
    which the layer's origin has moved), or of the same fingerprint where a component has moved as a whole. It
    is new again if it was a warning and is an error, or lies farther past its limit by more than 2 % and the
    rounding of files in inches. What the earlier file would have passed by its rounding, as it was in inches,
    counts as known too, if no more is within that rounding than was close to a limit then. What is waived
    stays so. A warning about the file is known if the earlier report has it word for word, but for lines and
    places.

    Args:
        report: As it was judged.
        known: What is known.
    """
    sides = [one.side for one in known.layers]
    row = counterparts(sides, [Side(layer.file, layer.side) for layer in report.layers])
    layers = tuple(
        _layer_held_against(layer, None if k is None else known.layers[k])
        for layer, k in zip(report.layers, row, strict=True)
    )
    not_checked = tuple(
        one.side.file for k, one in enumerate(known.layers) if k not in row and len(one.found.check)
    )
    return replace(
        report,
        layers=layers,
        known=KnownReport(known.file, known.sha256, known.rule_set, not_checked),
    )


def _layer_held_against(layer: LayerReport, known: KnownLayer | None) -> LayerReport:
    if known is None:
        return replace(layer, settled=Settled("", 0, 0, 0, 0, None))
    way = common_way(known.landmarks, placed(layer))
    old = known.found.moved(way or NO_WAY)
    new = found_in(layer, where_measured=not known.has_middles)
    # a layer with nothing to cut is no pass, however often that was said
    kept = (each for each in known.warnings if each[0] != NoOpeningsError.default_code)
    said = tuple(warning_of(code, text) for code, text in kept)
    again = same(old, new, standing_in(layer), is_one_board=way is not None)
    before = Before(known.side.file, known.slack_mm, way, said, known.close)
    return settled(layer, (old, new), again, before)


def way_in_mm(way: Way | None) -> tuple[float, float] | None:
    """A way for people."""
    return None if way is None else (way[0] / NM_PER_MM, way[1] / NM_PER_MM)


def placed(layer: LayerReport) -> Placed:
    """Middles and sizes of all openings of a layer."""
    table = layer.table
    columns = (table.x_mm, table.y_mm, table.width_mm, table.length_mm)
    return placed_at(np.column_stack(columns))


class Before(NamedTuple):
    """What a layer was."""

    file: str
    slack_mm: float
    """Of its lengths."""
    way_nm: Way | None
    """How far its origin has moved since; None where that is not known."""
    warnings: tuple[str, ...]
    """About its file, as `warning_of` has them."""
    close: Mapping[str, int]
    """How many readings were close to a limit, by check."""


def close_of(layer: LayerReport) -> Mapping[str, int]:
    """How many readings are close to a limit, by check."""
    return {outcome.check: outcome.close for outcome in layer.outcomes}


def warning_of(code: str, text: str) -> str:
    """
    What a warning about a file says, less where: lines and places change with every export.

    Example:
        >>> warning_of(
        ...     "sliver", "2 slivers left out, 0.1 mm2 within (1.00, 2.00) to (3.00, 4.00) mm; at lines 5, 6"
        ... )
        'sliver 2 slivers left out, 0.1 mm2 within ( ) to ( ) mm; at line'
    """
    return f"{code} {_WHERE.sub(lambda found: '( )' if found[1] else 'line', text)}"


def new_warnings(old: LayerReport | None, new: LayerReport) -> tuple[Diagnostic, ...]:
    """Warnings about a layer's files that were not said of it before."""
    before = Counter(() if old is None else warnings_of(old))
    found = []
    for said in new.diagnostics:
        if said.level is DiagnosticLevel.WARNING:
            name = warning_of(said.code, said.text)
            if before[name] <= 0:
                found.append(said)
            before[name] -= 1
    return tuple(found)


def warnings_of(layer: LayerReport) -> tuple[str, ...]:
    """The warnings about a layer's files."""
    said = (one for one in layer.diagnostics if one.level is DiagnosticLevel.WARNING)
    return tuple(warning_of(one.code, one.text) for one in said)


def settled(layer: LayerReport, findings: tuple[Found, Found], pairs: Matched, before: Before) -> LayerReport:
    """
    The layer with what is known of its findings marked, and counted.

    Args:
        layer: As it was judged.
        findings: Those that are known, and those of the layer.
        pairs: Which are the same.
        before: What the layer was.
    """
    old, new = findings
    worse = is_worse(old, new, pairs, before.slack_mm + layer.slack_mm)
    was = np.full(len(new.check), np.nan)
    was[pairs.other] = old.value[pairs.one]
    is_known = _had_passed(new, pairs, before)
    is_known[pairs.other] = ~worse
    marked = iter(_marked(layer, is_known, was))
    outcomes = tuple(
        replace(one, findings=tuple(islice(marked, len(one.findings)))) for one in layer.outcomes
    )
    told = Settled(
        layer=before.file,
        known=sum(found.status is Status.KNOWN for one in outcomes for found in one.findings),
        worse=int(np.count_nonzero(worse)),
        gone=_gone(layer, old, pairs),
        file_warnings=(Counter(warnings_of(layer)) & Counter(before.warnings)).total(),
        way_mm=way_in_mm(before.way_nm),
    )
    return replace(layer, outcomes=outcomes, settled=told)


def _gone(layer: LayerReport, old: Found, pairs: Matched) -> int:
    """How many findings are not found any more, less those of checks that measured nothing this time."""
    asked = {outcome.check for outcome in layer.outcomes if outcome.limits and not outcome.missing}
    left = np.delete(old.check, pairs.one)
    return sum(check in asked for check in left.tolist())


def _had_passed(new: Found, pairs: Matched, before: Before) -> BoolArray:
    """Whether findings that are no old ones passed before by rounding alone: no more than were close then."""
    passed = would_have_passed(new, before.slack_mm)
    count = Counter(new.check[passed].tolist())
    too_many = {check for check, many in count.items() if many > before.close.get(check, 0)}
    passed[pairs.other] = False
    if too_many:
        passed &= np.array([check not in too_many for check in new.check.tolist()], bool)
    return passed


def _marked(layer: LayerReport, is_known: BoolArray, was: FloatArray) -> Iterator[Finding]:
    """Findings that are known as such, and those that have become worse with what they were."""
    slack = slack_told(layer.slack_mm)
    every = ((finding, one.unit) for one in layer.outcomes for finding in one.findings)
    for (finding, unit), known, value in zip(every, is_known.tolist(), was.tolist(), strict=True):
        if known and finding.status is Status.NEW:
            yield finding._replace(status=Status.KNOWN)
        elif isnan(value) or finding.status is not Status.NEW:
            yield finding
        else:
            stem = finding.text.removesuffix(slack)
            yield finding._replace(
                text=f"{stem}; it was known at {shown(value, unit)}{finding.text[len(stem) :]}"
            )
