"""
A comparison for a person at a terminal.

First whether anything new was found, then what has changed in the openings, then the findings that are new,
as `check` tells them, and in short those that are gone.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from pastecheck.report import Finding, Level, RuleSetSummary, Status
from pastecheck.reporters._causes import causes
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import many, side_of_board, way, what
from pastecheck.reporters._printing import printed
from pastecheck.reporters._settled import SEEN_MM, counted, with_only_new
from pastecheck.reporters._styles import QUIET, STYLE_OF_VERDICT, note
from pastecheck.reporters.terminal import findings_told
from pastecheck.revisions.comparison import Comparison, Kind, LayerComparison
from pastecheck.revisions.groups import groups
from pastecheck.revisions.words import changed, where
from pastecheck.units import shown_um

GROUPS_SHOWN: Final = 20
_INDENT: Final = 10


def rendered(comparison: Comparison, *, width: int = 100, colour: bool = False, quiet: bool = False) -> str:
    """
    The comparison as text.

    Args:
        comparison: What has changed.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
        quiet: A line for each layer only.
    """
    parts = map(_headline, comparison.layers) if quiet else _parts(comparison)
    return printed(parts, width, colour=colour, wraps=not quiet)


def _parts(comparison: Comparison) -> Iterator[RenderableType]:
    for number, layer in enumerate(comparison.layers):
        if number:
            yield ""
        yield _headline(layer)
        yield from _about(layer, comparison.new.rule_set)
        yield from _openings(layer)
        yield from _warnings(layer)
        if layer.new is not None:
            yield from findings_told(with_only_new(layer.new))
        yield from _gone(layer)
        yield from _in_short(layer)


def _headline(layer: LayerComparison) -> Text:
    if layer.new is None or layer.old is None:
        there, text = (layer.new, "only in the new revision") if layer.new else (layer.old, "no longer there")
        words = Text(text, style="bold", overflow="fold")
        file = there.file if there else ""
        return words.append(f": {harmless(file)}", style="not bold default")
    new = list(layer.new.findings(Status.NEW))
    warnings = layer.new.file_warnings
    told = [counted(new)] if new or not warnings else []
    told += [f"{many(warnings, 'warning')} about the file"] if warnings else []
    text = "; ".join(told).replace("no finding", "nothing")
    words = Text(f"new: {text}", style=STYLE_OF_VERDICT[layer.new.verdict], overflow="fold")
    return words.append(f": {harmless(layer.new.file)}", style="not bold default")


def _about(layer: LayerComparison, rule_set: RuleSetSummary) -> Iterator[RenderableType]:
    foil = f"{rule_set.foil_name}, {shown_um(rule_set.foil_thickness_mm)}"
    before = f"against {layer.old.file}" if layer.old and layer.new else ""
    said = (before, side_of_board(layer.side), f"judged by {rule_set.name} ({foil})")
    yield note("; ".join(text for text in said if text))
    if layer.is_mirrored:
        yield note("it lies mirrored to what it was: export both alike, or what follows means little")
    elif layer.way_mm is None and layer.old and layer.new:
        yield note("less than half of the openings were found again: these may be two different boards")
    if layer.way_mm and any(abs(one) > SEEN_MM for one in layer.way_mm):
        yield note(f"the origin has moved by {way(*layer.way_mm)}; places are those of the new file")


def _openings(layer: LayerComparison) -> Iterator[RenderableType]:
    count = {kind: layer.changes.count(kind) for kind in Kind}
    words = [f"{layer.unchanged} unchanged", *(f"{n} {kind.value}" for kind, n in count.items() if n)]
    yield note(f"openings: {', '.join(words)}")
    told = groups(layer)
    for group in told[:GROUPS_SHOWN]:
        yield ""
        lines = _lines()
        lines.add_row(Text(group.kind.value), Text(changed(group), style="bold"))
        lines.add_row("", Text(where(group), style=QUIET))
        yield lines
    if left := told[GROUPS_SHOWN:]:
        yield ""
        openings = many(sum(group.count for group in left), "opening")
        yield note(f"and {many(len(left), 'more change')} of {openings}: --json FILE writes every one")


def _warnings(layer: LayerComparison) -> Iterator[RenderableType]:
    """Warnings about the new file that the old one had not."""
    if layer.warnings:
        yield ""
    for said in layer.warnings[:GROUPS_SHOWN]:
        line = f"line {said.span.line}: " if said.span.line else ""
        yield note(f"{said.level.value}: {line}{said.text} [{said.code}]")


def _lines() -> Table:
    lines = Table.grid(padding=(0, 1, 0, 0))
    lines.add_column(width=_INDENT - 1, justify="left", no_wrap=True)
    lines.add_column()
    return lines


def _gone(layer: LayerComparison) -> Iterator[RenderableType]:
    """Findings that are gone, a line for each cause."""
    if layer.old is None or not layer.gone:
        return
    rows = set(map(id, layer.gone))
    gone = causes(layer.old.only(lambda found: id(found) in rows), GROUPS_SHOWN)
    yield ""
    for cause in gone.shown:
        lines = _lines()
        checks = ", ".join(one.worst.check for one in cause.failed)
        lines.add_row("gone", Text(f"{what(cause)}: {checks}", style=QUIET))
        yield lines
    if gone.more:
        yield note(
            f"and {gone.more} more, with {many(gone.findings_of_more, 'finding')}: --json FILE has them"
        )


def _in_short(layer: LayerComparison) -> Iterator[RenderableType]:
    if layer.new is None:
        return
    told = layer.new.settled
    new, known = list(layer.new.findings(Status.NEW)), list(layer.new.findings(Status.KNOWN))
    worse = f" ({told.worse} of them were there, and have become worse)" if told and told.worse else ""
    yield ""
    gone = f"{len(layer.gone)} gone" if layer.gone else "none gone"
    yield note(f"findings: {len(new)} new{worse}, {gone}, {_as_before(known)}")


def _as_before(known: Sequence[Finding]) -> str:
    errors = sum(one.level is Level.ERROR for one in known)
    return f"{len(known)} as before" + (f" ({many(errors, 'error')})" if errors else "")
