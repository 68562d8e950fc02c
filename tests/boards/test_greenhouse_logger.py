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

from pastecheck import gerber, rulesets
from pastecheck.board_files import Option, board_files_of
from pastecheck.lands import lands_of
from pastecheck.layers import layers_of
from pastecheck.report import LayerReport
from pastecheck.run import checked

BOARDS = Path(__file__).resolve().parents[2] / "fixtures" / "boards"
EXPECTED: dict[str, Any] = json.loads((BOARDS / "expected.json").read_text(encoding="utf-8"))
LAYERS: dict[str, dict[str, Any]] = EXPECTED["layers"]

LENGTH_MM = 2e-4
"""Two flattened outlines, each within 0.1 um of what was drawn."""

each_layer = pytest.mark.parametrize("name", LAYERS, ids=lambda name: name.removeprefix("greenhouse-logger-"))


@cache
def report(name: str) -> LayerReport:
    layers = layers_of([str(BOARDS / name)])
    (found,) = checked(layers, rulesets.load(EXPECTED["rule_set"])).layers
    return found


@cache
def report_on_board(name: str) -> LayerReport:
    """The same layer with the copper, mask and outline that lie beside it."""
    path = BOARDS / name
    copper, mask = (path.name.replace("paste", word) for word in ("copper", "mask"))
    named = {
        Option.LAND: [str(path.with_name(copper))],
        Option.MASK: [str(path.with_name(mask))],
        Option.OUTLINE: [str(path.with_name("greenhouse-logger-outline.gbr"))],
    }
    layers = layers_of([str(path)])
    (found,) = checked(layers, rulesets.load(EXPECTED["rule_set"]), board_files=board_files_of(named)).layers
    return found


def test_the_committed_files_are_what_the_script_writes(tmp_path: Path) -> None:
    script = BOARDS / "make_greenhouse_logger.py"
    subprocess.run([sys.executable, "-B", str(script), str(tmp_path)], check=True, capture_output=True)
    made = {path.relative_to(tmp_path).as_posix(): path.read_bytes() for path in tmp_path.rglob("*.*")}
    committed = {path.relative_to(BOARDS).as_posix() for path in BOARDS.rglob("*.gbr")}
    assert made.keys() == {*committed, "expected.json"} > LAYERS.keys()
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


def hold(found: LayerReport, faults: list[dict[str, Any]]) -> None:
    """Whether a report has the findings that are expected, and no others."""
    findings = sorted(
        (finding.check, finding.level.value, finding.label, finding.value)
        for outcome in found.outcomes
        for finding in outcome.findings
    )
    drawn = sorted(
        (fault["check"], fault["level"], "+".join(fault["components"]), fault["value"])
        for fault in faults
        for _ in range(fault["count"])
    )
    assert [row[:3] for row in findings] == [row[:3] for row in drawn]
    assert [row[3] for row in findings] == pytest.approx([row[3] for row in drawn], abs=LENGTH_MM)


@each_layer
def test_the_faults_that_were_drawn_are_found_and_no_others(name: str) -> None:
    hold(report(name), LAYERS[name]["findings"])


@each_layer
def test_with_copper_mask_and_outline_those_that_show_against_lands_are_found_too(name: str) -> None:
    hold(report_on_board(name), [*LAYERS[name]["findings"], *LAYERS[name]["on_board"]])


@each_layer
def test_lands_lie_right_and_are_covered_as_they_were_drawn(name: str) -> None:
    outcomes = {outcome.check: outcome for outcome in report_on_board(name).outcomes}
    assert outcomes["registration"].worst == pytest.approx(0, abs=LENGTH_MM)
    # all but what was drawn on the paste layer alone
    alone = sum(fault["count"] for fault in LAYERS[name]["on_board"] if fault["check"] == "off-land")
    assert outcomes["land-clearance"].measured == LAYERS[name]["openings"] - alone
    assert outcomes["land-coverage"].worst == pytest.approx(1, abs=1e-3)
    if "paste-top" in name:
        # the window of U4: a cross of 0.3 in 2.6 x 2.6 mm
        assert outcomes["thermal-coverage"].worst == pytest.approx(2.3**2 / 2.6**2, abs=1e-6)


def test_vias_screws_marks_and_test_points_are_known_by_the_copper() -> None:
    for side, bare in (("top", 2 + 2 + 4), ("bottom", 1 + 2)):
        files = [
            BOARDS / f"greenhouse-logger-b/greenhouse-logger-{word}-{side}.gbr" for word in ("copper", "mask")
        ]
        copper, mask = (gerber.read(file.read_bytes(), file.name) for file in files)
        lands = lands_of(copper, mask)
        assert int(lands.takes_no_paste.sum()) == bare
        assert int(lands.is_drilled.sum()) == 2


@each_layer
def test_side_and_verdict_are_as_expected_and_little_is_said(name: str) -> None:
    assert report(name).side == LAYERS[name]["side"]
    assert report(name).verdict.value == LAYERS[name]["verdict"]
    shared = [label for label in LAYERS[name]["openings_of"] if "+" in label]
    said = [diagnostic.code for diagnostic in report(name).diagnostics]
    painted = ["drawn-in-pieces"] if "paste-top" in name else []
    assert sorted(said) == [*painted, *(["shared-opening"] if shared else [])]
    assert [one.code for one in report_on_board(name).diagnostics] == said
    for of in (report(name), report_on_board(name)):
        assert not any(outcome.close for outcome in of.outcomes)


def test_revision_a_fails_these_checks_and_revision_b_none() -> None:
    failed = {
        (name.split("/")[0], fault["check"])
        for name, layer in LAYERS.items()
        for fault in (*layer["findings"], *layer["on_board"])
        if fault["level"] == "error"
    }
    checks = ("area-ratio", "aspect-ratio", "opening-width", "web-width", "powder-fit", "off-land")
    assert failed == {("greenhouse-logger-a", check) for check in checks}
