"""
Which film suits, for a person at a terminal.

A table of all rule sets, what hinders each of them, between which thicknesses a foil would do, and at the
end, where the eye is, the answer in sentences.
"""

from collections.abc import Iterator, Sequence
from math import floor
from typing import Final

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pastecheck.checks import catalogue
from pastecheck.films.advice import by_cutter, for_all
from pastecheck.films.outcome import End, Films, Held, LayerFilms, RuleSetHeld, Thickness
from pastecheck.films.phrases import VERDICTS, end, hindrance, span
from pastecheck.report import Level
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import many, side_of_board
from pastecheck.reporters._printing import printed
from pastecheck.reporters._styles import QUIET, STYLE_OF_LEVEL, STYLE_OF_VERDICT, note
from pastecheck.reporters.terminal import about_files
from pastecheck.units import shown

HINDRANCES_SHOWN: Final = 2
"""Of each rule set."""

_NAME: Final = 24
"""Columns of a rule set's name; a longer one stands on a line of its own."""
_HINDERED: Final = 6
_HAIR: Final = 0.01
"""Of a per cent: shares are off by the rounding of places."""


def rendered(films: Films, *, width: int = 100, colour: bool = False, quiet: bool = False) -> str:
    """
    Films as text.

    Args:
        films: What was found.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
        quiet: The answer only.
    """
    return printed(_quietly(films) if quiet else _parts(films), width, colour=colour)


def _parts(films: Films) -> Iterator[RenderableType]:
    for layer in films.layers:
        yield Text(harmless(layer.file), style="bold", overflow="fold")
        yield note(_about(layer))
        if layer.held:
            yield from _notices(films.rule_sets)
            yield ""
            yield from _table(layer)
            yield ""
            yield from _thickness(layer.thickness)
        yield from about_files(layer.diagnostics, layer.file, beside=bool(layer.beside))
        yield ""
        yield from _answer(layer, films.rule_sets)
        yield ""
    yield from _of_all(films)


def _quietly(films: Films) -> Iterator[RenderableType]:
    for layer in films.layers:
        yield Text(harmless(layer.file), style="bold", overflow="fold")
        yield from _answer(layer, films.rule_sets)
    yield from _of_all(films)


def _about(layer: LayerFilms) -> str:
    web = (
        "no narrow web" if layer.worst_web_mm is None else f"narrowest web {shown(layer.worst_web_mm, 'mm')}"
    )
    count = many(layer.openings, "opening")
    return f"{count}, {layer.open_area_mm2:.1f} mm2 in all; {web}; {side_of_board(layer.side)}"


def _notices(rule_sets: Sequence[RuleSetHeld]) -> Iterator[RenderableType]:
    for one in rule_sets:
        yield from (note(f"note: {one.summary.name}: {notice}") for notice in one.summary.notices)


# --------------------------------------------------------------------------------------------------- table


def _table(layer: LayerFilms) -> Iterator[RenderableType]:
    name = min(max(len(harmless(one.name)) for one in layer.held), _NAME)
    head = f"{'rule set':{name}}  {'verdict':9}  errors  warnings  area ratio  paste"
    yield Text(head, style=QUIET)
    for one in layer.held:
        named = harmless(one.name)
        if len(named) > name:
            yield Text(named, overflow="fold")
            named = ""
        line = Text(f"{named:{name}}  ")
        line.append(f"{VERDICTS[one.verdict]:9}", style=STYLE_OF_VERDICT[one.verdict])
        line.append(f"  {one.errors:6}  {one.warnings:8}  {one.worst_area_ratio:10.2f}  {_percent(one)}")
        yield line
        yield from _hindered(one)
    yield note("paste: the least that any opening prints, as a share of the usual; see thinnest, below")


def _hindered(one: Held) -> Iterator[RenderableType]:
    """What hinders: errors where there are any, else what is to be taken care of."""
    level = one.hindrances[0].level if one.hindrances else Level.WARNING
    found = [found for found in one.hindrances if found.level is level]
    lines = [hindrance(each) for each in found[:HINDRANCES_SHOWN]]
    if len(found) > HINDRANCES_SHOWN:
        lines[-1] += f", and {many(len(found) - HINDRANCES_SHOWN, 'more check')}"
    for text in lines:
        yield Padding(Text(harmless(text), style=STYLE_OF_LEVEL[level]), (0, 0, 0, _HINDERED))
    if not one.feeds:
        wanted = "no foil" if one.thinnest_um is None else f"at least {one.thinnest_um} um"
        yield Padding(Text(f"too thin: {wanted} would feed every part"), (0, 0, 0, _HINDERED))


def _percent(one: Held) -> str:
    """The share of the usual paste, rounded down: what starves must not look as if it did not."""
    return "" if one.paste_share is None else f"{floor(100 * one.paste_share + _HAIR):3} %"


# ----------------------------------------------------------------------------------------------- thickness


def _thickness(every: Sequence[Thickness]) -> Iterator[RenderableType]:
    """Ranges; those that are the same for several foils are told once."""
    yield Text("Thickness with which every opening releases and every part is fed; widths and webs aside")
    alike: dict[tuple[End | None, ...], list[Thickness]] = {}
    for one in every:
        alike.setdefault((one.thickest, one.thickest_clean, one.thinnest), []).append(one)
    same = len({one.thinnest for one in every}) == 1
    for some in alike.values():
        ends = [("thickest", some[0].thickest), ("thinnest", None if same else some[0].thinnest)]
        yield from _range(some, ends)
    if same and every[0].thinnest is not None:
        yield note(f"thinnest  {end(every[0].thinnest, catalogue()[every[0].thinnest.check].quantity)}")
    not_known = max((one.not_known for one in every), default=0)
    if not_known:
        yield note(
            f"without {many(not_known, 'pane')} of larger lands, which --land and --mask would tell of"
        )


def _range(some: Sequence[Thickness], ends: Sequence[tuple[str, End | None]]) -> Iterator[RenderableType]:
    whose = "; ".join(dict.fromkeys(f"{one.foil}{', ' if one.cutter else ''}{one.cutter}" for one in some))
    yield Padding(Text(span(some[0]), style="bold"), (0, 0, 0, 2))
    lines = Table.grid(padding=(0, 2, 0, 0))
    lines.add_column(no_wrap=True, style=QUIET)
    lines.add_column(overflow="fold")
    lines.add_row("of", Text(harmless(whose)))
    for name, one in ends:
        if one is not None:
            lines.add_row(name, Text(end(one, catalogue()[one.check].quantity)))
    yield Padding(lines, (0, 0, 0, _HINDERED))


# -------------------------------------------------------------------------------------------------- answer


def _answer(layer: LayerFilms, rule_sets: Sequence[RuleSetHeld]) -> Iterator[RenderableType]:
    """Which film suits; and what says what to do where none does without care."""
    if not layer.held:
        yield note("nothing to cut")
        return
    yield Text("Which film")
    lines = Table.grid(padding=(0, 2, 0, 0))
    lines.add_column(overflow="fold", style=QUIET)
    lines.add_column(overflow="fold")
    for cutter, text in by_cutter(layer, rule_sets).items():
        lines.add_row(cutter, Text(text))
    yield Padding(lines, (0, 0, 0, 2))
    if any(one.hindrances for one in layer.held):
        yield note("pastecheck check with --rules and one of these names says what to do at each place")


def _of_all(films: Films) -> Iterator[RenderableType]:
    if said := for_all(films):
        yield Text.assemble(("For all layers", "bold"), f": {said}")
