"""Printed examples of area ratio and aspect ratio come out of `pastecheck check` to their last digit."""

import csv
import io
import json
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from pastecheck.cli import main
from tests.outside.worked_examples import (
    EXAMPLES,
    ODD_SHAPE_AREA_MIL2,
    ODD_SHAPE_CORNERS_MIL,
    ODD_SHAPE_PERIMETER_MIL,
    Example,
)

RULES = ("--rules", "polyester-75-knife", "--fail-on", "never")
MM_PER_MIL = 0.0254

Check = Callable[..., str]


@pytest.fixture
def check(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> Check:
    """Check a layer that draws what is given; what was said on standard output."""

    def check(drawn: str, unit: str, *options: str) -> str:
        layer = tmp_path / "example-paste-top.gbr"
        mode = {"inch": "%MOIN*%", "mm": "%MOMM*%"}[unit]
        layer.write_text(f"%TF.FileFunction,Paste,Top*%\n%FSLAX26Y26*%\n{mode}\n{drawn}\nM02*\n", "utf-8")
        assert main(["check", str(layer), *RULES, *options]) == 0
        return capfd.readouterr().out

    return check


def as_printed(value: float, printed: str) -> str:
    """The value with the digits of a printed one; halves are rounded away from zero, as people do."""
    exact = Decimal(f"{value:.9f}")  # so that 0.625 is a half, whatever the last bit of the float
    return str(exact.quantize(Decimal(printed), ROUND_HALF_UP))


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: f"{example.key} at {example.thickness}")
def test_a_printed_ratio_is_reproduced_to_its_last_digit(example: Example, check: Check) -> None:
    opening = example.opening
    drawn = f"%ADD10{opening.aperture}*%\nD10*\nX0Y0D03*"
    report = json.loads(check(drawn, opening.unit, "--thickness", example.thickness, "--json", "-"))
    (layer,) = report["layers"]
    (worst,) = [rule["worst"] for rule in layer["rules"] if rule["check"] == example.check]
    assert layer["openings"] == 1
    assert as_printed(worst, example.printed) == example.printed


def test_printed_area_and_perimeter_of_an_odd_shape_are_reproduced_to_the_last_digit(check: Check) -> None:
    # In inches with six decimals a mil is 1000.
    corners = [f"X{x * 1000:.0f}Y{y * 1000:.0f}" for x, y in ODD_SHAPE_CORNERS_MIL]
    drawn = "\n".join(
        [
            "G36*",
            f"{corners[0]}D02*",
            "G01*",
            *(f"{corner}D01*" for corner in (*corners[1:], corners[0])),
            "G37*",
        ]
    )
    (row,) = csv.DictReader(io.StringIO(check(drawn, "inch", "--csv", "-")))
    area_mil2 = float(row["area_mm2"]) / MM_PER_MIL**2
    perimeter_mil = float(row["perimeter_mm"]) / MM_PER_MIL
    assert as_printed(area_mil2, ODD_SHAPE_AREA_MIL2[1]) == ODD_SHAPE_AREA_MIL2[1]
    assert as_printed(perimeter_mil, ODD_SHAPE_PERIMETER_MIL[1]) == ODD_SHAPE_PERIMETER_MIL[1]


@pytest.fixture
def table(shared: Path) -> dict[str, dict[str, str]]:
    """The rows of ratios, areas and perimeters of worked_examples.csv that agree with themselves."""
    kinds = ("area_ratio", "aspect_ratio", "area_polygon", "perimeter")
    with (shared / "worked_examples.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            row for row in csv.DictReader(file) if row["kind"].startswith(kinds) and row["agrees"] == "yes"
        ]
    return {row["id"]: row for row in rows}


def test_no_agreeing_example_is_missing_here(table: dict[str, dict[str, str]]) -> None:
    odd_shape = {ODD_SHAPE_AREA_MIL2[0], ODD_SHAPE_PERIMETER_MIL[0]}
    assert {example.key for example in EXAMPLES} | odd_shape == table.keys()


def test_results_and_foils_are_copied_as_they_are_printed(table: dict[str, dict[str, str]]) -> None:
    printed: dict[str, list[str]] = {}
    for example in EXAMPLES:
        row = table[example.key]
        printed.setdefault(example.key, []).append(example.printed)
        assert ("memory" in example.source.seen) == (row["seen_or_memory"] == "memory")
        assert sizes_of(example) <= sizes_in(json.loads(row["inputs_json"]))
    assert {key: "-".join(results) for key, results in printed.items()} == {
        key: table[key]["printed_result"] for key in printed
    }
    assert table[ODD_SHAPE_AREA_MIL2[0]]["printed_result"] == ODD_SHAPE_AREA_MIL2[1]
    assert table[ODD_SHAPE_PERIMETER_MIL[0]]["printed_result"] == ODD_SHAPE_PERIMETER_MIL[1]


def sizes_in(inputs: dict[str, float | list[float | str] | str]) -> set[float]:
    """Every length of an example, as printed, in um."""
    um = {"mil": 25.4, "um": 1.0, "mm": 1000.0}
    found = {0.0}
    for name, value in inputs.items():
        numbers = value if isinstance(value, list) else [value]
        factor = um.get(name.rsplit("_", 1)[-1], um["mm"])
        found |= {round(one * factor, 3) for one in numbers if isinstance(one, int | float)}
    return found


def sizes_of(example: Example) -> set[float]:
    """Foil and width of our copy, in um."""
    number, unit = example.thickness.split()
    thickness = float(number) * {"mil": 25.4, "um": 1.0, "mm": 1000.0}[unit]
    width = float(example.opening.aperture.split(",")[1].split("X")[0])
    width *= {"inch": 25_400.0, "mm": 1000.0}[example.opening.unit]
    return {round(thickness, 3), round(width, 3)}
