"""
The report for a person at a terminal, who may be tired.

First the verdict, then what is wrong and what to do about it, then what was looked at, and last what is
wanted at the bench.

Plain ASCII, so that it reads the same everywhere; colour only repeats what the words say.
"""

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from pastecheck.report import LayerReport, Level, Report, RuleSetSummary, Status
from pastecheck.reporters._causes import causes
from pastecheck.reporters._for_the_job import caution, for_the_job
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._looked_at import looked_at
from pastecheck.reporters._phrases import how_often, many, side_of_board, what, where
from pastecheck.reporters._printing import printed
from pastecheck.reporters._settled import (
    dealt_with_told,
    not_checked_told,
    settled_told,
    waivers_told,
    with_only_new,
)
from pastecheck.reporters._styles import QUIET, STYLE_OF_LEVEL, STYLE_OF_VERDICT, note
from pastecheck.reporters._told import Cause, Kind
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import shown_um, slack_told

CAUSES_SHOWN = 20
DIAGNOSTICS_SHOWN = 8
REMEDIES_SHOWN = 3

_OTHER_FIGURES = " (for the worst; --json FILE has the figures of each)"
_INDENT = 10
"""Columns that the level of a cause takes, so that everything else stands in line."""


def rendered(report: Report, *, width: int = 100, colour: bool = False, quiet: bool = False) -> str:
    """
    The report as text.

    Args:
        report: What was found.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
        quiet: Verdict lines only.
    """
    return printed(_quietly(report) if quiet else _parts(report), width, colour=colour, wraps=not quiet)


def verdict(layer: LayerReport) -> str:
    """The verdict of a layer in words."""
    errors, warnings = _count(layer, Level.ERROR), _count(layer, Level.WARNING) + layer.file_warnings
    dealt_with = dealt_with_told(layer)
    also = f"; {dealt_with}" if dealt_with else ""
    if not layer.openings:
        if layer.may_be_empty:
            return "nothing to cut, as may be"
        return f"nothing to cut ({many(warnings, 'warning')})"
    if errors:
        also = f", {many(warnings, 'warning')}{also}" if warnings else also
        return f"do not cut this ({many(errors, 'error')}{also})"
    if warnings:
        return f"cut it with care ({many(warnings, 'warning')}{also})"
    return f"nothing new ({dealt_with})" if dealt_with else "cut it"


def _count(layer: LayerReport, level: Level) -> int:
    return sum(finding.level is level for finding in layer.findings(Status.NEW))


def _quietly(report: Report) -> Iterator[RenderableType]:
    return (_headline(layer) for layer in report.layers)


def _parts(report: Report) -> Iterator[RenderableType]:
    for layer in report.layers:
        yield _headline(layer)
        yield _about(layer, report.rule_set)
        yield from _beside(layer)
        yield from (note(f"note: {notice}") for notice in report.rule_set.notices)
        yield from findings_told(with_only_new(layer))
        yield from settled_told(layer, report)
        yield from about_files(layer.diagnostics, layer.file, beside=bool(layer.beside))
        if layer.openings:
            yield from looked_at(layer, report.rule_set)
            yield from for_the_job(layer)
        yield ""
    yield from not_checked_told(report)
    yield from waivers_told(report)
    yield Text(caution(report.layers, report.rule_set), style=QUIET)


def _headline(layer: LayerReport) -> Text:
    words = Text(verdict(layer), style=STYLE_OF_VERDICT[layer.verdict], overflow="fold")
    return words.append(f": {harmless(layer.file)}", style="not bold default")


def _about(layer: LayerReport, rule_set: RuleSetSummary) -> RenderableType:
    foil = f"{rule_set.foil_name}, {shown_um(rule_set.foil_thickness_mm)}"
    slack = (
        f"; slack of lengths {shown_um(layer.slack_mm)}, as the file is in inches" if layer.slack_mm else ""
    )
    count = many(layer.openings, "opening")
    first = f"{count}, {layer.open_area_mm2:.1f} mm2 in all; {side_of_board(layer.side)}"
    return note(f"{first}; held against {rule_set.name} ({foil}){slack}")


def _beside(layer: LayerReport) -> Iterator[RenderableType]:
    words = {"land": "copper", "mask": "solder mask", "outline": "outline"}
    if layer.beside:
        yield note(f"with {', '.join(f'{words[one.option]} {one.file}' for one in layer.beside)}")


# ------------------------------------------------------------------------------------------------ findings


def findings_told(layer: LayerReport) -> Iterator[RenderableType]:
    """What was found in a layer, the worst first."""
    found = causes(layer, CAUSES_SHOWN)
    for cause in found.shown:
        yield ""
        yield _of_cause(cause, slack_told(layer.slack_mm))
    if found.more:
        yield ""
        more = f"and {found.more} more like these, with {many(found.findings_of_more, 'finding')}"
        yield note(f"{more}: --json FILE writes every one")


def _of_cause(cause: Cause, slack: str) -> RenderableType:
    lines = Table.grid(padding=(0, 1, 0, 0))
    lines.add_column(width=_INDENT - 1, justify="left", no_wrap=True)
    lines.add_column()
    lines.add_row(Text(cause.level.value, style=STYLE_OF_LEVEL[cause.level]), Text(what(cause), style="bold"))
    for failed in cause.failed:
        text = Text(harmless(failed.worst.text.removesuffix(slack)))  # told once, of the layer
        if more := how_often(failed, cause):
            warns = failed.worst.level is Level.WARNING and cause.level is not Level.WARNING
            text.append(f" ({more})", style=STYLE_OF_LEVEL[Level.WARNING] if warns else "")
        lines.add_row("", text)
    lines.add_row("", Text(where(cause), style=QUIET))
    for remedy in _remedies(cause):
        lines.add_row(Text("      ->"), Text(harmless(remedy)))
    return lines


def _remedies(cause: Cause) -> Iterator[str]:
    """Of loose pairs, of which each may want another change, only that of the worst."""
    shown = 1 if cause.kind is Kind.LOOSE_PAIRS else REMEDIES_SHOWN
    for remedy, has_others in zip(cause.remedies[:shown], cause.have_others, strict=False):
        yield f"{remedy}{_OTHER_FIGURES if has_others else ''}"
    if (left := len(cause.remedies) - shown) > 0:
        yield f"and {many(left, 'other change')} for some of them, as --json has them"


# --------------------------------------------------------------------------------------------- diagnostics


def about_files(said: Sequence[Diagnostic], file_: str, *, beside: bool) -> Iterator[RenderableType]:
    """What is said about a layer's file, and about those beside it; warnings first."""
    if not said:
        return
    yield ""
    yield Text("About the files" if beside else "About the file")
    warnings_first = sorted(said, key=lambda one: one.level is not DiagnosticLevel.WARNING)
    for one in warnings_first[:DIAGNOSTICS_SHOWN]:
        file = f"{one.span.path}: " if one.span.path != file_ else ""
        line = f"line {one.span.line}: " if one.span.line else ""
        yield note(f"{one.level.value}: {file}{line}{one.text} [{one.code}]")
    if len(said) > DIAGNOSTICS_SHOWN:
        yield note(f"and {len(said) - DIAGNOSTICS_SHOWN} more: --json FILE writes every one")
