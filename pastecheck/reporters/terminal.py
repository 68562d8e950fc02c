"""
The report for a person at a terminal, who may be tired.

First the verdict, then what is wrong and what to do about it, then what was looked at.

Plain ASCII, so that it reads the same everywhere; colour only repeats what the words say.
"""

from collections.abc import Iterable, Iterator
from io import StringIO

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pastecheck.report import LayerReport, Level, Report, RuleOutcome, RuleSetSummary, Verdict
from pastecheck.reporters._causes import Cause, Size, causes
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._limits import limit_shown
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import shown, shown_apart, shown_um

CAUSES_SHOWN = 20
DIAGNOSTICS_SHOWN = 8

CAUTION = (
    "Take care: blades and cut foil are sharp; wear gloves with paste, which may hold lead; draw off the "
    "fumes of flux. The data sheets and the rules where you work come first."
)

_STYLE_OF_VERDICT = {Verdict.PASS: "bold green", Verdict.CARE: "bold yellow", Verdict.FAIL: "bold red"}
_STYLE_OF_LEVEL = {Level.ERROR: "red", Level.WARNING: "yellow"}
_QUIET = "dim"
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
    written = StringIO()
    console = Console(
        file=written,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        legacy_windows=False,
        emoji=False,
        highlight=False,
        markup=False,
        _environ={},
    )
    for part in _quietly(report) if quiet else _parts(report):
        console.print(part, soft_wrap=quiet)
    return "\n".join(line.rstrip() for line in written.getvalue().split("\n"))


def verdict(layer: LayerReport) -> str:
    """The verdict of a layer in words."""
    errors, warnings = _count(layer, Level.ERROR), _count(layer, Level.WARNING) + layer.file_warnings
    if not layer.openings:
        return f"nothing to cut ({_many(warnings, 'warning')})"
    if errors:
        also = f", {_many(warnings, 'warning')}" if warnings else ""
        return f"do not cut this ({_many(errors, 'error')}{also})"
    return f"cut it with care ({_many(warnings, 'warning')})" if warnings else "cut it"


def _count(layer: LayerReport, level: Level) -> int:
    return sum(finding.level is level for outcome in layer.outcomes for finding in outcome.findings)


def _quietly(report: Report) -> Iterator[RenderableType]:
    return (_headline(layer) for layer in report.layers)


def _parts(report: Report) -> Iterator[RenderableType]:
    for layer in report.layers:
        yield _headline(layer)
        yield _about(layer, report.rule_set)
        yield from (_note(f"note: {notice}") for notice in report.rule_set.notices)
        yield from _findings(layer)
        yield from _diagnostics(layer.diagnostics)
        if layer.openings:
            yield from _looked_at(layer, report.rule_set)
        yield ""
    yield Text(CAUTION, style=_QUIET)


def _headline(layer: LayerReport) -> Text:
    words = Text(verdict(layer), style=_STYLE_OF_VERDICT[layer.verdict], overflow="fold")
    return words.append(f": {harmless(layer.file)}", style="not bold default")


def _about(layer: LayerReport, rule_set: RuleSetSummary) -> RenderableType:
    side = "side not known" if layer.side == "unknown" else f"{layer.side} side"
    foil = f"{rule_set.foil_name}, {shown_um(rule_set.foil_thickness_mm)}"
    first = f"{_many(layer.openings, 'opening')}, {layer.open_area_mm2:.1f} mm2 in all; {side}"
    return _note(f"{first}; held against {rule_set.name} ({foil})")


def _note(text: str) -> RenderableType:
    return Padding(Text(harmless(text)), (0, 0, 0, 2))


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


# ------------------------------------------------------------------------------------------------ findings


def _findings(layer: LayerReport) -> Iterator[RenderableType]:
    found = causes(layer, CAUSES_SHOWN)
    for cause in found.shown:
        yield ""
        yield _of_cause(cause)
    if found.more:
        yield ""
        more = f"and {found.more} more like these, with {_many(found.findings_of_more, 'finding')}"
        yield _note(f"{more}: --json FILE writes every one")


def _of_cause(cause: Cause) -> RenderableType:
    lines = Table.grid(padding=(0, 1, 0, 0))
    lines.add_column(width=_INDENT - 1, justify="left", no_wrap=True)
    lines.add_column()
    lines.add_row(
        Text(cause.level.value, style=_STYLE_OF_LEVEL[cause.level]), Text(_what(cause), style="bold")
    )
    for finding in cause.worst:
        text = Text(harmless(finding.text))
        if finding.level is not cause.level:
            text.append(f" ({finding.level.value})", style=_STYLE_OF_LEVEL[finding.level])
        lines.add_row("", text)
    lines.add_row("", Text(_where(cause), style=_QUIET))
    if cause.remedy:
        lines.add_row(Text("      ->"), Text(harmless(cause.remedy)))
    return lines


def _what(cause: Cause) -> str:
    of = f" of {harmless(cause.label)}" if cause.label else ""
    count = _many(cause.count, "pair") + " of openings" if cause.of_pairs else _many(cause.count, "opening")
    sizes = dict.fromkeys(map(_size, cause.sizes))  # two that are told apart by a hair read the same
    return f"{count}{of}, {' and '.join(sizes)}"


def _size(size: Size) -> str:
    if size.is_round:
        return f"{_side(size.width_mm)} mm round"
    return f"{_side(size.width_mm)} x {_side(size.length_mm)} mm"


def _side(length_mm: float) -> str:
    text = f"{length_mm:.3f}"
    return text.removesuffix("0")


def _where(cause: Cause) -> str:
    worst = cause.worst[0]
    place = _place(worst.x_mm, worst.y_mm)
    if cause.count == 1:
        return f"at {place} mm, line {worst.line}"
    low_x, low_y, high_x, high_y = cause.within_mm
    box = f"{_place(low_x, low_y)} to {_place(high_x, high_y)} mm"
    return f"{box}; worst at {place}, line {worst.line}"


def _place(x_mm: float, y_mm: float) -> str:
    return f"({x_mm:z.2f}, {y_mm:z.2f})"


# --------------------------------------------------------------------------------------------- diagnostics


def _diagnostics(said: tuple[Diagnostic, ...]) -> Iterator[RenderableType]:
    if not said:
        return
    yield ""
    yield Text("About the file")
    warnings_first = sorted(said, key=lambda one: one.level is not DiagnosticLevel.WARNING)
    for one in warnings_first[:DIAGNOSTICS_SHOWN]:
        line = f"line {one.span.line}: " if one.span.line else ""
        yield _note(f"{one.level.value}: {line}{one.text} [{one.code}]")
    if len(said) > DIAGNOSTICS_SHOWN:
        yield _note(f"and {len(said) - DIAGNOSTICS_SHOWN} more: --json FILE writes every one")


# ------------------------------------------------------------------------------------- what was looked at


def _looked_at(layer: LayerReport, rule_set: RuleSetSummary) -> Iterator[RenderableType]:
    yield ""
    yield _checks(layer.outcomes)
    for outcome in layer.outcomes:
        if not outcome.measured:
            yield _note(f"{outcome.title} measured nothing here, so it says nothing about this layer.")
    if any(outcome.close for outcome in layer.outcomes):
        yield _note(
            "close: at a limit, or nearer to it than can be told (error bound, or rounding of a file in "
            "inches); they pass that limit."
        )
    if rule_set.not_run:
        yield _note(f"Not in this rule set: {', '.join(rule_set.not_run)}.")


def _checks(outcomes: Iterable[RuleOutcome]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=_QUIET, show_edge=False)
    for heading in ("check", "measured", "worst", "error if", "warning if", "found"):
        is_text = heading in ("check", "found")
        wraps = heading == "found"
        table.add_column(heading, justify="left" if is_text else "right", overflow="fold", no_wrap=not wraps)
    for outcome in outcomes:
        table.add_row(
            outcome.check,
            _measured(outcome),
            _worst(outcome),
            _limit(outcome, "error"),
            _limit(outcome, "warn"),
            _found(outcome),
        )
    return table


def _measured(outcome: RuleOutcome) -> str:
    every = outcome.measured + outcome.not_applicable
    return f"{outcome.measured} of {every}" if outcome.not_applicable else str(outcome.measured)


def _worst(outcome: RuleOutcome) -> str:
    """The worst reading; where there is none though openings were measured, nothing lay within reach."""
    if outcome.worst is None:
        return "none near" if outcome.measured else "-"
    told = [finding.limit for finding in outcome.findings[:1]]  # one that passes may look like its limit
    apart = [shown_apart(outcome.worst, limit, outcome.unit)[0] for limit in told]
    return max(apart, key=len, default=shown(outcome.worst, outcome.unit))


def _limit(outcome: RuleOutcome, level: str) -> str:
    signs = {f"{level}_below": "<", f"{level}_above": ">"}
    texts = [
        f"{sign} {limit_shown(outcome.limits[name], outcome.unit)}"
        for name, sign in signs.items()
        if name in outcome.limits
    ]
    return " or ".join(texts) or "-"


def _found(outcome: RuleOutcome) -> Text:
    levels = [finding.level for finding in outcome.findings]
    texts = [
        Text(_many(levels.count(level), level.value), style=style)
        for level, style in _STYLE_OF_LEVEL.items()
        if level in levels
    ] or [Text("nothing" if outcome.measured else "nothing measured", style=_QUIET)]
    if outcome.close:
        texts.append(Text(f"{outcome.close} close"))
    return Text(", ").join(texts)
