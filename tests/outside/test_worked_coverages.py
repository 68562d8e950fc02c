"""
Coverages of lands that others have printed come out of `pastecheck check`, with copper and mask written here.

Copied with their sources from data sheets, package drawings and a published part. A land with several panes
is a thermal one where it is 1.5 mm wide and 3 mm2 large; smaller ones are read by land-coverage.
"""

import csv
import json
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import NamedTuple

import pytest

from pastecheck.cli import main

RULES = ("--rules", "stainless-125-laser", "--fail-on", "never")
KINDS = ("thermal_pad_coverage_percent", "opening_to_land_percent", "window_pane")


class Printed(NamedTuple):
    """A coverage as it is printed, in percent: one number, or the ends of a range."""

    key: str
    source: str
    land_mm: tuple[float, float]
    pane: str
    """The aperture of a pane."""
    panes: tuple[int, int]
    pitch_mm: tuple[float, float]
    check: str
    percent: tuple[str, ...]


THERMAL, LAND = "thermal-coverage", "land-coverage"
PRINTED = (
    # printed for the unit cell of an endless pattern: nine cells of 1.2 mm
    Printed(
        "adtech",
        "ADT7310 data sheet rev 0.0 (2008), p. 14, which cites Amkor; seen",
        (3.6, 3.6),
        "C,1",
        (3, 3),
        (1.2, 1.2),
        THERMAL,
        ("50", "80"),
    ),
    Printed(
        "msu-switch-3",
        "Michigan State University, switch_328_pin_paste_mask.txt, 18-Jan-2017, of the component's pad; seen",
        (8.79, 7.62),
        "R,1.95X2.3",
        (4, 3),
        (2.21, 2.56),
        THERMAL,
        ("80.4",),
    ),
    Printed(
        "msu-switch-4",
        "the same, of the board's land",
        (10.0, 9.0),
        "R,1.95X2.3",
        (4, 3),
        (2.21, 2.56),
        THERMAL,
        ("59.8",),
    ),
    Printed(
        "silabs-c8051f320",
        "C8051F320/1 data sheet rev 1.4, table 4.5, stencil note 8, with the largest land; seen",
        (3.3, 3.3),
        "R,0.9X0.9",
        (3, 3),
        (1.1, 1.1),
        THERMAL,
        ("67",),
    ),
    Printed(
        "silabs-si7013",
        "Si7013-A20 data sheet rev 1.4, table 25, stencil note 7; seen",
        (1.4, 2.6),
        "R,0.95X0.95",
        (1, 2),
        (0.0, 1.25),
        LAND,
        ("50",),
    ),
    Printed(
        "st-esdalc6v1",
        "ESDALC6V1-1M2, DocID 12385 rev 7, section 4.1, the land inferred from its callouts; seen",
        (0.55, 0.5),
        "R,0.45X0.39",
        (1, 1),
        (0.0, 0.0),
        LAND,
        ("60", "65"),
    ),
    Printed(
        "ti-rge0024b",
        "Texas Instruments, package drawing 4219013/A, RGE0024B, example of a stencil design; seen",
        (2.45, 2.45),
        "R,1.08X1.08",
        (2, 2),
        (1.28, 1.28),
        THERMAL,
        ("78",),
    ),
    Printed(
        "ti-rpe0009b-pad9",
        "Texas Instruments, package drawing 4227033/A, RPE0009B, pad 9; seen",
        (0.35, 1.3),
        "R,0.35X0.55",
        (1, 2),
        (0.0, 0.75),
        LAND,
        ("85",),
    ),
)

MSU_PANE_MM2, MSU_TOTAL_MM2 = "4.485", "53.82"
"""msu-switch-1 and -2: area of one pane, and of all twelve."""


def _write(path: Path, function: str, *drawn: str) -> str:
    lines = [f"%TF.FileFunction,{function}*%", "%FSLAX46Y46*%", "%MOMM*%", *drawn, "M02*", ""]
    path.write_text("\n".join(lines), "utf-8")
    return str(path)


def _layer_of(printed: Printed, folder: Path, capfd: pytest.CaptureFixture[str]) -> dict[str, object]:
    """What `pastecheck check` says in JSON of the paste layer."""
    width, length = printed.land_mm
    places = [
        (round(1e6 * (k - (printed.panes[0] - 1) / 2) * printed.pitch_mm[0]),
         round(1e6 * (n - (printed.panes[1] - 1) / 2) * printed.pitch_mm[1]))
        for k in range(printed.panes[0])
        for n in range(printed.panes[1])
    ]  # fmt: skip
    paste = _write(
        folder / "paste.gbr",
        "Paste,Top",
        f"%ADD10{printed.pane}*%",
        "D10*",
        *(f"X{x}Y{y}D03*" for x, y in places),
    )
    at = ("D10*", "X0Y0D03*")
    land = _write(folder / "land.gbr", "Copper,L1,Top", f"%ADD10R,{width}X{length}*%", *at)
    mask = _write(
        folder / "mask.gbr", "Soldermask,Top", f"%ADD10R,{width + 0.1:.6f}X{length + 0.1:.6f}*%", *at
    )
    assert main(["check", paste, "--land", land, "--mask", mask, *RULES, "--json", "-"]) == 0
    (layer,) = json.loads(capfd.readouterr().out)["layers"]
    return dict(layer)


def _rounded(value: float, digits: str) -> str:
    """A value with as many digits as a printed one; halves away from zero, as people round."""
    return str(Decimal(f"{value:.9f}").quantize(Decimal(digits), ROUND_HALF_UP))


@pytest.mark.parametrize("printed", PRINTED, ids=lambda printed: printed.key)
def test_a_printed_coverage_is_reproduced(
    printed: Printed, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    layer = _layer_of(printed, tmp_path, capfd)
    rules = {rule["check"]: rule for rule in layer["rules"]}  # type: ignore[attr-defined]
    assert {check for check in (THERMAL, LAND) if rules[check]["measured"]} == {printed.check}
    percent = 100 * rules[printed.check]["worst"]
    if len(printed.percent) == 1:
        assert _rounded(percent, printed.percent[0]) == printed.percent[0]
    else:
        low, high = map(float, printed.percent)
        assert low <= percent <= high


def test_the_areas_of_the_panes_of_a_published_part_are_reproduced(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (part,) = [one for one in PRINTED if one.key == "msu-switch-4"]
    layer = _layer_of(part, tmp_path, capfd)
    assert layer["openings"] == 12
    total = layer["open_area_mm2"]
    assert isinstance(total, float)
    assert _rounded(total, MSU_TOTAL_MM2) == MSU_TOTAL_MM2
    assert _rounded(total / 12, MSU_PANE_MM2) == MSU_PANE_MM2


def test_no_coverage_that_was_printed_is_missing_here(shared: Path) -> None:
    with (shared / "worked_examples.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["id"]: row for row in csv.DictReader(file) if row["kind"].startswith(KINDS)}
    ours = {one.key: one for one in PRINTED}
    assert rows.keys() == ours.keys() | {"msu-switch-1", "msu-switch-2"}
    for key, one in ours.items():
        assert rows[key]["printed_result"].rstrip("%") == "-".join(one.percent)
