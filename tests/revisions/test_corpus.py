"""
Real boards exported anew are unchanged, keep all fingerprints, and have nothing new.

Every eighth layer of the corpus, and all that name components. The boards may not be copied into the project,
so these tests are skipped where PASTECHECK_SHARED is not set.
"""

import os
from pathlib import Path

import pytest

from pastecheck import rulesets
from pastecheck.layer_evidence import Source
from pastecheck.layers import Layer
from pastecheck.report import LayerReport, Status
from pastecheck.revisions import Revision, compared, held_against
from pastecheck.run import cut_and_checked
from tests.outside.test_corpus import CUT, NOTHING_BUT_LINES, Reference
from tests.revisions.exporter import Style, exported
from tests.revisions.revised import counts, fingerprints, known, only

pytestmark = pytest.mark.slow

_MARK = b"TO.C,"
EXPORTS = {
    "inches, regions": Style(inches=True, as_regions=True, backwards=True, dx_mm=12.7, dy_mm=12.7),
    "millimetres": Style(backwards=True, dx_mm=-12.7, dy_mm=12.7),
}

# New findings that are no change of the board, and of which check.
ON_AN_EDGE = {
    # openings of 1.4 and 2.0 mm: they are like, or they are not, by a nanometre of 30 %
    "cad02-limesdr-mini10/LimeSDR_Mini_1v0_Rounded_panel.GBP": {"pair-balance"},
}


def content_of(layer: Reference) -> bytes:
    return (Path(os.environ["PASTECHECK_SHARED"]) / "corpus" / layer.name).read_bytes()


LAYERS = [
    layer
    for number, layer in enumerate(CUT)
    if layer.name not in NOTHING_BUT_LINES and (number % 8 == 0 or _MARK in content_of(layer))
]


def judged(content: bytes) -> Revision:
    layer = Layer("paste.gbr", content, "top", (), Source.USER)
    return Revision(*cut_and_checked([layer], rulesets.load("polyester-75-knife")))


@pytest.mark.parametrize("style", EXPORTS.values(), ids=EXPORTS)
@pytest.mark.parametrize("layer", LAYERS, ids=lambda layer: layer.name)
def test_a_real_layer_exported_anew_is_unchanged_and_keeps_all_fingerprints(
    layer: Reference, style: Style
) -> None:
    content = content_of(layer)
    old, new = judged(content), judged(exported(content, style, "Paste,Top").encode())
    found = only(compared(old, new))
    assert counts(found) == {}
    assert found.way_mm == pytest.approx((style.dx_mm, style.dy_mm), abs=1e-3)
    may_go = passed_by_slack(found.old, found.new)
    assert fingerprints(found.old) - may_go <= fingerprints(found.new)
    held = held_against(new.report, known(old.report))
    assert new_in(found.new) | new_in(held.layers[0]) <= ON_AN_EDGE.get(layer.name, set())
    assert {finding.fingerprint for finding in found.gone} <= may_go


def passed_by_slack(old: LayerReport | None, new: LayerReport | None) -> set[str]:
    """Fingerprints of lengths that are past their limits by less than the slack of a file in inches."""
    assert old is not None
    assert new is not None
    return {
        finding.fingerprint
        for outcome in old.outcomes
        for finding in outcome.findings
        if outcome.unit == "mm" and abs(finding.value - finding.limit) <= new.slack_mm
    }


def new_in(layer: LayerReport | None) -> set[str]:
    """Checks that found something new."""
    assert layer is not None
    return {finding.check for finding in layer.findings(Status.NEW)}


def test_there_are_a_dozen_real_layers_or_more() -> None:
    assert not CUT or len(LAYERS) >= 12
