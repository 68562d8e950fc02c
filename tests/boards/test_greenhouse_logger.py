"""
The demo board gives what is known of it beforehand.

fixtures/boards/expected.json is written by the script that draws the board, from closed forms of what it
draws. An independent reader (pygerber 3.0.0a4 with shapely; step-and-repeat written out for it by hand) gave
the same counts, bounds and webs, and the same area to 5e-6.
"""

import json
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pastecheck import rulesets
from pastecheck.layers import layers_of
from pastecheck.report import LayerReport
from pastecheck.run import checked_layer

BOARDS = Path(__file__).resolve().parents[2] / "fixtures" / "boards"
EXPECTED: dict[str, Any] = json.loads((BOARDS / "expected.json").read_text(encoding="utf-8"))
LAYERS: dict[str, dict[str, Any]] = EXPECTED["layers"]

LENGTH_MM = 2e-4
"""Two flattened outlines, each within 0.1 um of what was drawn."""

each_layer = pytest.mark.parametrize("name", LAYERS, ids=lambda name: name.removeprefix("greenhouse-logger-"))


@cache
def report(name: str) -> LayerReport:
    (layer,) = layers_of([str(BOARDS / name)])
    return checked_layer(layer, rulesets.load(EXPECTED["rule_set"]))


def test_the_committed_files_are_what_the_script_writes(tmp_path: Path) -> None:
    script = BOARDS / "make_greenhouse_logger.py"
    subprocess.run([sys.executable, "-B", str(script), str(tmp_path)], check=True, capture_output=True)
    made = {path.relative_to(tmp_path).as_posix(): path.read_bytes() for path in tmp_path.rglob("*.*")}
    assert made.keys() == {*LAYERS, "expected.json"}
    assert made == {name: (BOARDS / name).read_bytes() for name in made}


@each_layer
def test_every_opening_is_found_and_belongs_to_its_component(name: str) -> None:
    table = report(name).table
    assert report(name).openings == LAYERS[name]["openings"]
    assert Counter(table.labels[row] for row in table.label.tolist()) == LAYERS[name]["openings_of"]


@each_layer
def test_open_area_and_bounds_are_those_drawn(name: str) -> None:
    assert report(name).open_area_mm2 == pytest.approx(LAYERS[name]["open_area_mm2"], rel=1e-6)
    assert report(name).bounds_mm == pytest.approx(LAYERS[name]["bounds_mm"], abs=LENGTH_MM)


@each_layer
def test_the_faults_that_were_drawn_are_found_and_no_others(name: str) -> None:
    found = sorted(
        (finding.check, finding.level.value, finding.label, finding.value)
        for outcome in report(name).outcomes
        for finding in outcome.findings
    )
    drawn = sorted(
        (fault["check"], fault["level"], "+".join(fault["components"]), fault["value"])
        for fault in LAYERS[name]["findings"]
        for _ in range(fault["count"])
    )
    assert [row[:3] for row in found] == [row[:3] for row in drawn]
    assert [row[3] for row in found] == pytest.approx([row[3] for row in drawn], abs=LENGTH_MM)


@each_layer
def test_side_and_verdict_are_as_expected_and_little_is_said(name: str) -> None:
    assert report(name).side == LAYERS[name]["side"]
    assert report(name).verdict.value == LAYERS[name]["verdict"]
    shared = [label for label in LAYERS[name]["openings_of"] if "+" in label]
    said = [diagnostic.code for diagnostic in report(name).diagnostics]
    painted = ["drawn-in-pieces"] if "paste-top" in name else []
    assert sorted(said) == [*painted, *(["shared-opening"] if shared else [])]
    assert not any(outcome.not_applicable or outcome.close for outcome in report(name).outcomes)


def test_revision_a_fails_every_check_and_revision_b_none() -> None:
    failed = {
        (name.split("/")[0], fault["check"])
        for name, layer in LAYERS.items()
        for fault in layer["findings"]
        if fault["level"] == "error"
    }
    checks = ("area-ratio", "aspect-ratio", "opening-width", "web-width")
    assert failed == {("greenhouse-logger-a", check) for check in checks}
