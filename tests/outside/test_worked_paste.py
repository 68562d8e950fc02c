"""Printed balls, volumes and masses come out of `pastecheck check` to their last digit."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pastecheck.cli import main
from tests.outside.test_worked_examples import as_printed
from tests.outside.worked_paste import BALLS_ACROSS_A_CIRCLE, LEAST, MASS, VOLUMES, Least, Volume

Told = Callable[..., str]


@pytest.fixture
def told(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> Told:
    """What is said on standard output of a layer with one opening, by rules with some settings changed."""

    def told(aperture: str, unit: str, settings: str, *options: str) -> str:
        layer, rules = tmp_path / "example-paste-top.gbr", tmp_path / "rules.yaml"
        mode = {"inch": "%MOIN*%", "mm": "%MOMM*%"}[unit]
        drawn = f"%ADD10{aperture}*%\nD10*\nX0Y0D03*"
        layer.write_text(f"%TF.FileFunction,Paste,Top*%\n%FSLAX26Y26*%\n{mode}\n{drawn}\nM02*\n", "utf-8")
        rules.write_text(f"title: example\nextends: polyester-75-knife\nrules: {settings}\n", "utf-8")
        assert main(["check", str(layer), "--rules", str(rules), "--fail-on", "never", *options]) == 0
        return capfd.readouterr().out

    return told


def powder_fit(told: Told, aperture: str, settings: str) -> dict[str, Any]:
    """The rule of powder-fit in the report."""
    report = json.loads(told(aperture, "mm", f"{{powder-fit: {settings}}}", "--json", "-"))
    (rule,) = [rule for rule in report["layers"][0]["rules"] if rule["check"] == "powder-fit"]
    return dict(rule)


@pytest.mark.parametrize("least", LEAST, ids=lambda least: least.key)
def test_the_smallest_opening_for_some_balls_is_as_printed(least: Least, told: Told) -> None:
    settings = least.settings if least.settings.startswith("{") else f"{{{least.settings}}}"
    width_um = int(least.printed_um)
    assert powder_fit(told, f"R,{width_um / 1000:.3f}X1", settings)["findings"] == []
    (finding,) = powder_fit(told, f"R,{(width_um - 1) / 1000:.3f}X1", settings)["findings"]
    assert finding["level"] == "warning"


def test_the_balls_across_a_circle_are_as_printed(told: Told) -> None:
    _, aperture, settings, printed = BALLS_ACROSS_A_CIRCLE
    worst = powder_fit(told, aperture, f"{{{settings}}}")["worst"]
    assert as_printed(8 * worst, printed) == printed


@pytest.mark.parametrize("volume", VOLUMES, ids=lambda volume: volume.key)
def test_a_printed_volume_is_reproduced_to_its_last_digit(volume: Volume, told: Told) -> None:
    table = told(volume.aperture_in, "inch", "{}", "--thickness", volume.thickness, "--csv", "-")
    (row,) = csv.DictReader(io.StringIO(table))
    found = as_printed(float(row["deposit_volume_mm3"]) / volume.mm3, volume.printed)
    assert float(found) == float(volume.printed)


def test_a_printed_mass_is_reproduced_to_its_last_digit(told: Told) -> None:
    _, _, aperture, thickness, density, printed_g = MASS
    settings = f"{{deposit-volume: {{density-g-cm3: {density}}}}}"
    report = json.loads(told(aperture, "inch", settings, "--thickness", thickness, "--json", "-"))
    found = as_printed(report["layers"][0]["totals"]["paste_mg"] / 1000, printed_g)
    assert float(found) == float(printed_g)


@pytest.fixture
def table(shared: Path) -> dict[str, dict[str, str]]:
    """Rows of worked_examples.csv about balls, volumes and masses that agree with themselves."""
    kinds = ("min_opening", "min_needle", "theoretical_volume", "paste_mass")
    with (shared / "worked_examples.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["kind"].startswith(kinds)]
    assert all(row["agrees"] == "yes" for row in rows)
    return {row["id"]: row for row in rows}


def test_no_example_is_missing_here_and_all_are_copied_as_printed(table: dict[str, dict[str, str]]) -> None:
    printed = {one.key: float(one.printed_um) for one in LEAST} | {
        one.key: float(one.printed) for one in VOLUMES
    }
    printed[MASS[0]] = float(MASS[-1])
    assert printed.keys() == table.keys()
    for key, row in table.items():
        scale = 1000 if row["kind"].endswith("_mm") else 1
        assert printed[key] == pytest.approx(scale * float(row["printed_result"]))
        assert row["seen_or_memory"] == "seen"
