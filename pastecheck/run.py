"""The flow of a check in one function, one step a line."""

import hashlib
from collections.abc import Sequence

from pastecheck import __version__, gerber, judge
from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.layers import Layer, doubts
from pastecheck.limits import STANDARD, Limits
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.report import LayerReport, Report
from pastecheck.rulesets import RuleSet


def checked(
    layers: Sequence[Layer], rule_set: RuleSet, limits: Limits = STANDARD, *, everything: bool = False
) -> Report:
    """
    Layers held against a rule set, in the order given.

    Args:
        layers: As they were found.
        rule_set: What they are judged by.
        limits: How much is read of a layer at most.
        everything: Whether thin line work and slivers are openings too.

    Raises:
        InputError: If one of them cannot be read, cannot be measured honestly, or holds nothing to cut.
    """
    try:
        reports = tuple(checked_layer(layer, rule_set, limits, everything=everything) for layer in layers)
    except NoOpeningsError as error:
        if len(layers) == 1:
            raise
        full = [layer.path for layer in layers if layer.path != error.span.path]
        hint = f"{error.hint}; or name only the layers that hold something: {', '.join(full)}"
        raise NoOpeningsError(error.text, error.span, hint, error.code) from None
    return Report(__version__, judge.summary(rule_set), reports)


def checked_layer(
    layer: Layer, rule_set: RuleSet, limits: Limits = STANDARD, *, everything: bool = False
) -> LayerReport:
    """
    One layer held against a rule set; arguments as of `checked`.

    Raises:
        InputError: As `checked`.
    """
    drawing = gerber.read(layer.content, layer.path, limits)
    said = (*layer.diagnostics, *doubts(layer, drawing), *drawing.diagnostics)
    openings = cut_from(drawing, limits, everything=everything)
    measurements = Measurements(openings, rule_set.foil, limits, sheet=rule_set.sheet)
    source = judge.Source(layer.path, hashlib.sha256(layer.content).hexdigest(), layer.side)
    try:
        return judge.layer_report(measurements, rule_set, source, said)
    except TooMuchError as found:
        raise found.in_file(layer.path) from None
