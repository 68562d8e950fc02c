"""The flow of a check in one function, one step a line."""

import hashlib
from collections.abc import Sequence

from pastecheck import __version__, gerber, judge
from pastecheck.board_files import NO_FILES, Beside, BoardFile, beside, doubts_about, known_of
from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.layers import Layer, doubts
from pastecheck.limits import STANDARD, Limits
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.report import BesideFile, LayerReport, Report
from pastecheck.rulesets import RuleSet


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
        InputError: If one of them cannot be read, cannot be measured honestly, or holds nothing to cut.
        UsageError: If it is not clear to which layer a board file belongs.
    """
    each = zip(layers, beside(layers, board_files), strict=True)
    try:
        reports = tuple(
            checked_layer(layer, rule_set, limits, files=files, everything=everything)
            for layer, files in each
        )
    except NoOpeningsError as error:
        if len(layers) == 1:
            raise
        full = [layer.path for layer in layers if layer.path != error.span.path]
        hint = f"{error.hint}; or name only the layers that hold something: {', '.join(full)}"
        raise NoOpeningsError(error.text, error.span, hint, error.code) from None
    return Report(__version__, judge.summary(rule_set), reports)


def checked_layer(
    layer: Layer,
    rule_set: RuleSet,
    limits: Limits = STANDARD,
    *,
    files: Beside = NO_FILES,
    everything: bool = False,
) -> LayerReport:
    """
    One layer, with the board files beside it, held against a rule set; arguments as of `checked`.

    Raises:
        InputError: As `checked`.
    """
    drawing = gerber.read(layer.content, layer.path, limits)
    said = (*layer.diagnostics, *doubts(layer, drawing), *drawing.diagnostics)
    openings = cut_from(drawing, limits, everything=everything)
    known = known_of(files, openings, limits)
    m = Measurements(openings, rule_set.foil, limits, sheet=rule_set.sheet, board=known.board)
    digest = hashlib.sha256(layer.content).hexdigest()
    try:
        said += (*known.diagnostics, *doubts_about(m, files))
        source = judge.Source(layer.path, digest, layer.side, tuple(_named(file) for file in files.values()))
        return judge.layer_report(m, rule_set, source, said)
    except TooMuchError as found:
        raise found.in_file(layer.path) from None


def _named(file: BoardFile) -> BesideFile:
    return BesideFile(file.option.value, file.path, hashlib.sha256(file.content).hexdigest())
