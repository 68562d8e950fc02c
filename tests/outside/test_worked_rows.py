"""Published openings of rows of leads: their share of the pitch, webs and ratios come out of a check."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pastecheck.cli import main
from tests.outside.test_worked_examples import as_printed
from tests.outside.worked_rows import LEADS, RANGES, Leads, Range

RULES = """
title: every row and every web
extends: polyester-75-knife
rules:
  pitch-fraction:
    warn-above: 1.5
    only-gaps-below: 10 mm
    source: common practice, no source
  web-width:
    error-below: 0.5 mm
    source: common practice, no source
"""

Worst = Callable[..., dict[str, float]]


@pytest.fixture
def worst(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> Worst:
    """The worst reading of each check on a row of eight leads."""

    def worst(width_mm: float, length_mm: float, pitch_mm: float, *options: str) -> dict[str, float]:
        layer, rules = tmp_path / "row-paste-top.gbr", tmp_path / "rules.yaml"
        flashes = "\n".join(f"X{1e6 * pitch_mm * k:.0f}Y0D03*" for k in range(8))
        drawn = f"%ADD10R,{width_mm}X{length_mm}*%\nD10*\n{flashes}"
        layer.write_text(f"%TF.FileFunction,Paste,Top*%\n%FSLAX46Y46*%\n%MOMM*%\n{drawn}\nM02*\n", "utf-8")
        rules.write_text(RULES, "utf-8")
        given = ("--rules", str(rules), "--fail-on", "never", "--json", "-")
        assert main(["check", str(layer), *given, *options]) == 0
        report: dict[str, Any] = json.loads(capfd.readouterr().out)
        return {rule["check"]: rule["worst"] for rule in report["layers"][0]["rules"]}

    return worst


@pytest.mark.parametrize("leads", LEADS, ids=lambda leads: leads.key)
def test_the_share_of_the_pitch_and_the_web_are_reproduced_to_the_last_digit(
    leads: Leads, worst: Worst
) -> None:
    found = worst(leads.width_mm, 1.5, leads.pitch_mm)
    assert as_printed(100 * found["pitch-fraction"], leads.percent) == leads.percent
    assert as_printed(found["web-width"], leads.web_mm) == leads.web_mm


@pytest.mark.parametrize("one", RANGES, ids=lambda one: f"{one.key} {one.check}, {one.source.seen}")
def test_a_remembered_range_of_the_general_table_follows_from_its_openings(one: Range, worst: Worst) -> None:
    assert one.source.seen == "from memory"
    for foil_mm, printed in zip(one.foils_mm, one.printed, strict=True):
        found = worst(*one.opening_mm, one.pitch_mm, "--thickness", f"{foil_mm} mm")
        assert as_printed(found[one.check], printed) == printed


def test_widths_pitches_and_shares_are_copied_as_they_stand_in_the_table(shared: Path) -> None:
    with (shared / "worked_examples.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["id"]: row for row in csv.DictReader(file) if row["kind"] == "opening_over_pitch"}
    ours = {leads.key: leads for leads in LEADS if leads.key in rows}
    assert ours.keys() == rows.keys()
    for key, leads in ours.items():
        inputs = json.loads(rows[key]["inputs_json"])
        assert (leads.width_mm, leads.pitch_mm) == (inputs["w_mm"], inputs["pitch_mm"])
        assert rows[key]["computed_result"] == f"{leads.percent}% ; web {leads.web_mm} mm"
