"""The flow of a check: from layers and a rule set to a report, one step a line; or from several to films."""

import hashlib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, Protocol, TypeVar

from pastecheck import __version__, gerber, judge
from pastecheck.board_files import Beside, BoardFile, beside, doubts_about, known_of
from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.lands import NOTHING_KNOWN, Board
from pastecheck.layers import Layer, doubts
from pastecheck.limits import STANDARD, Limits
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings, cut_from
from pastecheck.report import BesideFile, LayerReport, Report
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic, DiagnosticLevel, Span

if TYPE_CHECKING:
    from pastecheck.films import Films, LayerFilms


class _OfLayer(Protocol):
    """What came of a layer."""

    @property
    def file(self) -> str: ...

    @property
    def openings(self) -> int: ...


Held = TypeVar("Held", bound=_OfLayer)


class _Read(NamedTuple):
    """A layer read, and what is known of its board."""

    source: judge.Source
    diagnostics: tuple[Diagnostic, ...]
    in_inches: bool
    openings: Openings | None
    """None where it holds nothing to cut, and may."""
    board: Board


def checked(
    layers: Sequence[Layer],
    rule_set: RuleSet,
    limits: Limits = STANDARD,
    *,
    board_files: Sequence[BoardFile] = (),
    everything: bool = False,
) -> Report:
    """
    Layers held against a rule set, in the order given.

    Args:
        layers: As they were found.
        rule_set: What they are judged by.
        limits: How much is read of a layer at most.
        board_files: Copper, masks and outline that were named, of all the layers.
        everything: Whether thin line work and slivers are openings too.

    Raises:
        InputError: If one of them cannot be read, cannot be measured honestly, or holds nothing to cut. Of
            several that were found in a folder or archive some may hold nothing: a board has two sides.
        UsageError: If it is not clear to which layer a board file belongs.
    """
    return cut_and_checked(layers, rule_set, limits, board_files=board_files, everything=everything)[0]


def cut_and_checked(
    layers: Sequence[Layer],
    rule_set: RuleSet,
    limits: Limits = STANDARD,
    *,
    board_files: Sequence[BoardFile] = (),
    everything: bool = False,
) -> tuple[Report, tuple[Openings | None, ...]]:
    """As `checked`, with the openings of each layer; None where it has none."""
    openings: list[Openings | None] = []

    def judged(layer: Layer, files: Beside, *, may_be_empty: bool) -> LayerReport:
        report, cut = _checked_layer(
            layer, rule_set, limits, files=files, everything=everything, may_be_empty=may_be_empty
        )
        openings.append(cut)
        return report

    report = Report(__version__, judge.summary(rule_set), _each(layers, board_files, judged))
    return report, tuple(openings)


def films_for(
    layers: Sequence[Layer],
    rule_sets: Sequence[RuleSet],
    limits: Limits = STANDARD,
    *,
    board_files: Sequence[BoardFile] = (),
    everything: bool = False,
) -> "Films":
    """Layers held against several rule sets; each is read and measured once. Otherwise as `checked`."""
    from pastecheck import films  # noqa: PLC0415 -- a check does not wait for it

    def held(layer: Layer, files: Beside, *, may_be_empty: bool) -> "LayerFilms":
        read = _read(layer, limits, files, everything=everything, may_be_empty=may_be_empty)
        if read.openings is None:
            return films.held_of_nothing(read.source, read.diagnostics)
        m = Measurements(read.openings, rule_sets[0].foil, limits, board=read.board)
        try:
            return films.held(m, rule_sets, read.source, (*read.diagnostics, *doubts_about(m, files)))
        except TooMuchError as found:
            raise found.in_file(layer.path) from None

    every = tuple(films.RuleSetHeld(judge.summary(one), one.cutter) for one in rule_sets)
    return films.Films(__version__, every, _each(layers, board_files, held))


def _each(
    layers: Sequence[Layer], board_files: Sequence[BoardFile], held: Callable[..., Held]
) -> tuple[Held, ...]:
    """What comes of each layer; raises as `checked`."""
    found = Counter(layer.found_in for layer in layers if layer.found_in)
    each = zip(layers, beside(layers, board_files), strict=True)
    try:
        reports = tuple(held(layer, files, may_be_empty=_may_be_told(layer, found)) for layer, files in each)
    except NoOpeningsError as error:
        hint = f"{error.hint}; or leave it out" if len(layers) > 1 else error.hint
        raise NoOpeningsError(error.text, error.span, hint, error.code) from None
    for place in found:
        its = [report for layer, report in zip(layers, reports, strict=True) if layer.found_in == place]
        if not any(report.openings for report in its) and not _may_all_be_empty(layers, place):
            text = "of the paste layers that were found here none holds anything to cut"
            hint = f"name one by itself to be told why, such as {its[0].file}"
            raise NoOpeningsError(text, Span(place), hint)
    return reports


def _may_be_told(layer: Layer, found: Counter[str]) -> bool:
    """Whether it is told in its report, and not raised, that a layer holds nothing to cut."""
    return layer.may_be_empty or layer.is_listed or found[layer.found_in] > 1


def _may_all_be_empty(layers: Sequence[Layer], place: str) -> bool:
    return all(layer.may_be_empty for layer in layers if layer.found_in == place)


def _checked_layer(
    layer: Layer,
    rule_set: RuleSet,
    limits: Limits,
    *,
    files: Beside,
    everything: bool,
    may_be_empty: bool,
) -> tuple[LayerReport, Openings | None]:
    """One layer, and its openings; None where it has none."""
    read = _read(layer, limits, files, everything=everything, may_be_empty=may_be_empty)
    if read.openings is None:
        nothing = judge.report_of_nothing(rule_set, read.source, read.diagnostics, in_inches=read.in_inches)
        return replace(nothing, may_be_empty=layer.may_be_empty), None
    m = Measurements(read.openings, rule_set.foil, limits, sheet=rule_set.sheet, board=read.board)
    try:
        every = (*read.diagnostics, *doubts_about(m, files))
        return judge.layer_report(m, rule_set, read.source, every), read.openings
    except TooMuchError as found:
        raise found.in_file(layer.path) from None


def _read(layer: Layer, limits: Limits, files: Beside, *, everything: bool, may_be_empty: bool) -> _Read:
    drawing = gerber.read(layer.content, layer.path, limits)
    said = (*layer.diagnostics, *doubts(layer, drawing), *drawing.diagnostics)
    named = tuple(_named(file) for file in files.values())
    source = judge.Source(layer.path, hashlib.sha256(layer.content).hexdigest(), layer.side, named)
    try:
        openings = cut_from(drawing, limits, everything=everything)
    except NoOpeningsError as error:
        if not may_be_empty:
            raise
        text = f"{error.text}: {error.hint}"
        level = DiagnosticLevel.NOTE if layer.may_be_empty else DiagnosticLevel.WARNING
        empty = Diagnostic(error.code, level, text, error.span)
        return _Read(source, (*said, empty), drawing.in_inches, None, NOTHING_KNOWN)
    known = known_of(files, openings, limits)
    return _Read(source, (*said, *known.diagnostics), drawing.in_inches, openings, known.board)


def _named(file: BoardFile) -> BesideFile:
    return BesideFile(file.option.value, file.path, hashlib.sha256(file.content).hexdigest())
