"""The worked table of process_notes section 3, row by row, through `pastecheck trim`: practice, no source."""

from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.drawn import mm_layer
from tests.trim.conftest import Trim

FOILS = {um: f"title: film\nextends: polyester-{um}-knife\n" for um in (50, 75, 100, 125)}
BY_LASER = "title: film 125, laser\nextends: polyimide-125-laser\n"
STEEL_125 = "title: steel 125\nextends: stainless-125-laser\n"
# Film of 125 um by knife: openings of 0.215 mm are the narrowest that the table grants it.
KNIFE_125 = """title: film 125, knife
extends: [polyester-100-knife, base/trim-125]
foil: {thickness: 125 um}
rules:
  opening-width: {error-below: 0.215 mm, warn-below: 0.26 mm, source: the table}
  neck-width: {error-below: 0.215 mm, warn-below: 0.26 mm, source: the table}
  web-width: {error-below: 0.18 mm, warn-below: 0.26 mm, source: the table}
"""


def row(width: float, length: float, pitch: float, count: int = 10) -> str:
    """Leads of a row along x."""
    flashes = [f"X{round(k * pitch * 1e6)}Y0D03*" for k in range(count)]
    return mm_layer(f"%ADD10R,{width}X{length}*%", "D10*", *flashes)


NONE = {"before": 0, "after": 0}


class Row(NamedTuple):
    """A row of the table: leads, foil, new width, and volume of one in mm3 before and after."""

    width: float
    length: float
    pitch: float
    foil: int
    new: float
    before: float
    after: float


ROWS = (
    # 0.5 QFP 0.30 x 1.50. 50 um: max(0.54 x 0.5, 0.5 - 0.23) = 0.27, 45 % of 0.0450 is 0.02025: just that.
    Row(0.30, 1.50, 0.5, 50, 0.27, 0.0225, 0.02025),
    # 75 um: max(0.25, 0.25) = 0.25; 0.25 x 1.5 x 0.075 = 0.028125.
    Row(0.30, 1.50, 0.5, 75, 0.25, 0.03375, 0.028125),
    # 100 um: max(0.25, 0.22) = 0.25.
    Row(0.30, 1.50, 0.5, 100, 0.25, 0.0450, 0.0375),
    # 125 um: max(0.48 x 0.5, 0.2) = 0.24.
    Row(0.30, 1.50, 0.5, 125, 0.24, 0.05625, 0.0450),
    # 0.4 QFP 0.25 x 1.25: 0.20 in 75 and 100 um.
    Row(0.25, 1.25, 0.4, 75, 0.20, 0.0234375, 0.01875),
    Row(0.25, 1.25, 0.4, 100, 0.20, 0.03125, 0.0250),
    # 0.65, 0.45 x 1.5: pitch less 0.25, 0.28 and 0.30.
    Row(0.45, 1.5, 0.65, 75, 0.40, 0.050625, 0.0450),
    Row(0.45, 1.5, 0.65, 100, 0.37, 0.0675, 0.0555),
    Row(0.45, 1.5, 0.65, 125, 0.35, 0.084375, 0.065625),
    # QFN 0.5, 0.30 x 0.80.
    Row(0.30, 0.80, 0.5, 75, 0.25, 0.018, 0.015),
    Row(0.30, 0.80, 0.5, 100, 0.25, 0.024, 0.020),
    Row(0.30, 0.80, 0.5, 125, 0.24, 0.030, 0.024),
)


def trimmed(trim: Trim, text: str, rules: str, *more: str) -> dict[str, Any]:
    Path("layer.gbr").write_text(text, encoding="utf-8")
    Path("mine.yaml").write_text(rules, encoding="utf-8")
    said = trim("layer.gbr", "--rules", "mine.yaml", "--out", "out.gbr", "--as-paste", *more)
    assert said.err == ""
    return said.document


@pytest.mark.parametrize("case", ROWS, ids=lambda case: f"{case.width}x{case.length}-at-{case.foil}")
def test_a_row_of_leads_comes_out_at_the_width_and_volume_of_the_table(trim: Trim, case: Row) -> None:
    done = trimmed(trim, row(case.width, case.length, case.pitch), FOILS[case.foil])
    (group,) = done["groups"]
    assert (group["why"], group["held"]) == ("rows", None)
    assert group["from"] == {"width_mm": case.width, "length_mm": case.length, "round": False}
    assert group["to"] == {
        "width_mm": pytest.approx(case.new, abs=2e-6),
        "length_mm": case.length,
        "round": False,
    }
    assert group["volume_mm3"]["before"] / 10 == pytest.approx(case.before, rel=1e-6)
    assert group["volume_mm3"]["after"] / 10 == pytest.approx(case.after, rel=1e-5)


@pytest.mark.parametrize("rules", [BY_LASER, STEEL_125])
def test_in_foil_of_125_um_a_laser_can_do_what_0_4_mm_pitch_asks_for_and_it_warns_even_in_steel(
    trim: Trim, rules: str
) -> None:
    # max(0.48 x 0.4, 0.4 - 0.3) = 0.192, 0.19 in steps of 5 um; 0.19 x 1.25 x 0.125 = 0.0296875;
    # area ratio 0.19 x 1.25 / (2.88 x 0.125) = 0.6597, below 0.66
    done = trimmed(trim, row(0.25, 1.25, 0.4), rules)
    (group,) = done["groups"]
    assert (group["why"], group["held"]) == ("rows", None)
    assert group["to"]["width_mm"] == pytest.approx(0.19, abs=2e-6)
    assert group["volume_mm3"]["after"] / 10 == pytest.approx(0.0296875, rel=1e-5)
    assert {"check": "area-ratio", "errors": NONE, "warnings": {"before": 0, "after": 10}} in done["findings"]


def test_where_no_width_suits_opening_and_web_it_is_left_and_the_film_that_would_do_is_told(
    trim: Trim,
) -> None:
    # the least opening by knife is 0.215, and leaves a web of 0.185: an error below 0.208
    (group,) = trimmed(trim, row(0.25, 1.25, 0.4), FOILS[125])["groups"]
    assert (group["why"], group["held"], group["to"]) == ("unchanged", "left", group["from"])
    assert "0.190 mm was asked for" in group["says"]
    assert "what would do: polyester-75-knife, polyester-100-knife" in group["says"]


def test_where_the_knife_cannot_follow_the_narrowest_width_is_written_and_what_would_do_is_told(
    trim: Trim,
) -> None:
    # asked for max(0.48 x 0.4, 0.4 - 0.3) = 0.192, 0.19 in steps of 5 um; the web is then 0.4 - 0.215 = 0.185
    done = trimmed(trim, row(0.25, 1.25, 0.4), KNIFE_125)
    (group,) = done["groups"]
    assert group["held"] == "width"
    assert group["to"]["width_mm"] == pytest.approx(0.215, abs=2e-6)
    assert "0.190 mm was asked for" in group["says"]
    assert "polyester-75-knife" in group["says"]
    webs = next(one for one in done["findings"] if one["check"] == "web-width")
    assert webs["errors"] == {"before": 9, "after": 0}


@pytest.mark.parametrize("foil", [75, 100, 125])
def test_chips_of_0402_and_below_stay_as_they_are(trim: Trim, foil: int) -> None:
    # 0402: 0.50 x 0.65, 1.0 apart; 0201: 0.25 x 0.40, 0.6 apart
    text = mm_layer("%ADD10R,0.5X0.65*%", "D10*", "X0Y0D03*", "X1000000Y0D03*",
                    "%ADD11R,0.25X0.4*%", "D11*", "X0Y5000000D03*", "X600000Y5000000D03*")  # fmt: skip
    assert trimmed(trim, text, FOILS[foil])["groups"] == []


def test_larger_chips_lose_a_tenth_off_their_inner_edges_in_foil_of_125_um(trim: Trim) -> None:
    # 0.8 x 0.9, 1.6 apart along x: 0.72 wide, and the outer edges stay: at -0.4 and 2.0
    text = mm_layer("%ADD10R,0.8X0.9*%", "D10*", "X0Y0D03*", "X1600000Y0D03*")
    (group,) = trimmed(trim, text, FOILS[125])["groups"]
    assert (group["why"], group["to"]) == ("chips", {"width_mm": 0.72, "length_mm": 0.9, "round": False})
    assert "X-40000Y0D03*" in Path("out.gbr").read_text(encoding="ascii")
    assert "X1640000Y0D03*" in Path("out.gbr").read_text(encoding="ascii")


@pytest.mark.parametrize(("foil", "pane", "share"), [(75, 1.29, 69.3), (100, 1.25, 65.0), (125, 1.15, 55.1)])
def test_a_thermal_land_becomes_panes_with_the_coverage_of_the_table(
    trim: Trim, foil: int, pane: float, share: float
) -> None:
    # 3.1 x 3.1 between leads on two sides; 4 panes
    leads = [
        f"X{x}Y{round((k - 2) * 650000)}D03*" for x in (-2500000, 2500000) for k in range(5)
    ]  # 0.65 mm, gaps of 0.35 mm: nothing to do for the row
    text = mm_layer("%ADD10R,3.1X3.1*%", "D10*", "X0Y0D03*", "%ADD11R,0.8X0.3*%", "D11*", *leads)
    (group,) = trimmed(trim, text, FOILS[foil])["groups"]
    assert group["why"] == "thermal"
    assert group["openings"] == {"before": 1, "after": 4}
    assert group["to"] == {"width_mm": pytest.approx(pane), "length_mm": pytest.approx(pane), "round": False}
    volumes = group["volume_mm3"]
    assert volumes["after"] == pytest.approx(4 * pane**2 * foil / 1000)  # 0.499, 0.625 and 0.661 mm3
    assert 100 * volumes["after"] / volumes["before"] == pytest.approx(
        share, abs=0.06
    )  # 55.05 is told as 55.1


@pytest.mark.parametrize("foil", [75, 100, 125])
def test_balls_stay_as_they_are(trim: Trim, foil: int) -> None:
    flashes = [f"X{x * 800000}Y{y * 800000}D03*" for x in range(5) for y in range(5)]
    assert trimmed(trim, mm_layer("%ADD10C,0.4*%", "D10*", *flashes), FOILS[foil])["groups"] == []


@pytest.mark.parametrize(("foil", "ratio"), [(75, 1.18), (100, 0.885), (125, 0.708)])
def test_on_request_balls_become_squares_of_the_same_area(trim: Trim, foil: int, ratio: float) -> None:
    # 0.886 x 0.40 is 0.354; area ratio 0.354 / (4 T); volume 0.354 x 0.354 x T, and 0.01571 in metal foil
    flashes = [f"X{x * 800000}Y{y * 800000}D03*" for x in range(5) for y in range(5)]
    text = mm_layer("%ADD10C,0.4*%", "D10*", *flashes)
    asks = f"{FOILS[foil]}trim: {{circles: {{narrower-than: 0.6 mm, only-if-asked: true, source: s}}}}\n"
    assert trimmed(trim, text, asks)["groups"] == []
    (group,) = trimmed(trim, text, asks, "--also", "circles", "--force")["groups"]
    side_mm = group["to"]["width_mm"]
    assert (side_mm, group["from"]["round"], group["to"]["round"]) == (pytest.approx(0.354), True, False)
    assert side_mm / (4 * foil / 1000) == pytest.approx(ratio, abs=1e-3)
    assert group["volume_mm3"]["after"] / 25 == pytest.approx(0.354**2 * foil / 1000)
    assert group["volume_mm3"]["after"] / group["volume_mm3"]["before"] == pytest.approx(0.997, abs=1e-3)


@pytest.mark.parametrize(("foil", "share"), [(75, 76), (100, 102), (125, 127)])
def test_squares_of_the_diameter_bring_a_quarter_more_where_a_rule_set_says_so(
    trim: Trim, foil: int, share: int
) -> None:
    # 0.16 mm2 x T over the 0.01571 mm3 that a ball of 0.40 gets in metal foil of 125 um
    flashes = [f"X{x * 800000}Y{y * 800000}D03*" for x in range(5) for y in range(5)]
    side = "side-of-diameter: 1"
    rules = f"{FOILS[foil]}trim: {{circles: {{narrower-than: 0.6 mm, {side}, source: s}}}}\n"
    (group,) = trimmed(trim, mm_layer("%ADD10C,0.4*%", "D10*", *flashes), rules)["groups"]
    assert round(100 * group["volume_mm3"]["after"] / 25 / 0.01571) == share
