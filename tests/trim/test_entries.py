"""What each entry of a rule set's section trim does to a layer, through the command."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from pastecheck import gerber
from pastecheck.openings import Openings, cut_from
from pastecheck.trim.likeness import outlines
from tests.drawn import mm_layer
from tests.trim.conftest import Said, Trim

# an L of 2 x 2 with arms 0.6 wide
ELL = ["G36*", "X0Y0D02*", "G01*", "X2000000Y0D01*", "X2000000Y600000D01*", "X600000Y600000D01*",
       "X600000Y2000000D01*", "X0Y2000000D01*", "X0Y0D01*", "G37*"]  # fmt: skip


def trimmed(trim: Trim, statements: list[str], entries: str, *more: str) -> Said:
    """A layer trimmed by polyester-75-knife with some entries more."""
    Path("layer.gbr").write_text(mm_layer(*statements), encoding="utf-8")
    Path("mine.yaml").write_text(
        f"title: mine\nextends: polyester-75-knife\ntrim:\n{entries}", encoding="utf-8"
    )
    return trim("layer.gbr", "--rules", "mine.yaml", "--out", "out.gbr", "--as-paste", "--force", *more)


def groups(said: Said) -> list[dict[str, Any]]:
    assert said.err == ""
    found: list[dict[str, Any]] = said.document["groups"]
    return found


def written() -> Openings:
    return cut_from(gerber.read(Path("out.gbr").read_bytes(), "out.gbr"))


def area_mm2() -> float:
    openings = written()
    return float(openings.shapes.area_mm2[openings.shape].sum())


# ---------------------------------------------------------------------------------- drawn outlines


def past_the_drawn_mm2() -> float:
    """Area that is open in the written layer and was not in the drawn one."""
    drawn = cut_from(gerber.read(Path("layer.gbr").read_bytes(), "layer.gbr"))
    ours, theirs = (shapely.union_all(outlines(each, np.arange(len(each)))) for each in (written(), drawn))
    return float(shapely.difference(ours, theirs).area)


def test_chamfers_of_chips_stay_within_those_drawn(trim: Trim) -> None:
    # 1.0 x 1.2 with chamfers of 0.3: drawn in by 0.1 from one side they would be 0.27 x 0.3, and two of them
    # would reach past those drawn by a triangle of 0.03 x 0.3 / 2 each: 0.009 mm2 of an opening
    eight = [(0.3, 0), (0.7, 0), (1, 0.3), (1, 0.9), (0.7, 1.2), (0.3, 1.2), (0, 0.9), (0, 0.3), (0.3, 0)]
    layer = ["%TO.C,C1*%"]
    for off in (0, 1.8):
        first, *others = [f"X{round((x + off) * 1e6)}Y{round(y * 1e6)}" for x, y in eight]
        layer += ["G36*", f"{first}D02*", "G01*", *(f"{one}D01*" for one in others), "G37*"]
    chips = "  chips: {area-share: 0.9, longer-than: 0.7 mm, source: s}\n"
    (group,) = groups(trimmed(trim, layer, chips))
    assert (group["why"], group["openings"]) == ("chips", {"before": 2, "after": 2})
    assert past_the_drawn_mm2() == pytest.approx(0, abs=1e-5)  # rounding x perimeter


def test_the_arms_of_an_ell_stay_within_those_drawn(trim: Trim) -> None:
    # sides times 0.9: an arm of 0.6 would end 0.64 from the corner drawn, 0.04 past its edge
    selected = "  selected:\n    large: {longer-than: 1.5 mm, area-share: 0.81, source: s}\n"
    (group,) = groups(trimmed(trim, ELL, selected))
    assert group["why"] == "selected"
    assert past_the_drawn_mm2() == pytest.approx(0, abs=1e-5)


def test_circles_drawn_in_at_one_side_stay_within_those_drawn(trim: Trim) -> None:
    # 1 mm across, 0.1 off one side: as obrounds of 0.9 x 1 they would reach 20 um past the circles
    layer = ["%ADD10C,1*%", "D10*", "X0Y0D03*", "X1800000Y0D03*"]
    chips = "  chips: {area-share: 0.9, longer-than: 0.7 mm, source: s}\n"
    (group,) = groups(trimmed(trim, layer, chips))
    assert (group["why"], group["openings"]) == ("chips", {"before": 2, "after": 2})
    assert past_the_drawn_mm2() == pytest.approx(0, abs=3e-4)  # half of the flatness x the perimeter


# ----------------------------------------------------------------------------------------- islands

RING = ["%ADD10C,1.6X1*%", "D10*", "X0Y0D03*"]
SMALL = ["%ADD10C,1.6X0.24*%", "D10*", "X0Y0D03*"]


def test_a_ring_is_held_by_three_webs(trim: Trim) -> None:
    # R 0.8, r 0.5: an island of 0.785 mm2. The ring has pi (0.64 - 0.25); each of three bars of 0.40 takes
    # the integral of sqrt(0.64 - y2) - sqrt(0.25 - y2) over its width
    said = trimmed(trim, RING, "")
    (group,) = groups(said)
    assert (group["why"], group["openings"]) == ("islands", {"before": 1, "after": 3})
    bar_mm2 = sum(
        sign * (0.2 * np.sqrt(r * r - 0.04) + r * r * np.arcsin(0.2 / r)) for r, sign in ((0.8, 1), (0.5, -1))
    )
    assert area_mm2() == pytest.approx(np.pi * 0.39 - 3 * bar_mm2, abs=7e-4)  # flatness x perimeter
    assert {
        one["check"]: one["errors"]["after"] for one in group["findings"] if one["check"] == "film-island"
    } == {"film-island": 0}


def test_a_small_island_is_filled_only_where_openings_may_grow(trim: Trim) -> None:
    # r 0.12: 0.0452 mm2, below 0.05
    assert groups(trimmed(trim, SMALL, "")) == []
    (group,) = groups(trimmed(trim, SMALL, "", "--grow"))
    assert (group["why"], group["openings"]) == ("islands", {"before": 1, "after": 1})
    assert area_mm2() == pytest.approx(np.pi * 0.64, abs=6e-4)  # flatness x perimeter: arcs read again


def test_where_another_opening_lies_in_the_hole_nothing_is_done(trim: Trim) -> None:
    said = trimmed(
        trim, ["%ADD10C,4X3*%", "D10*", "X0Y0D03*", "%ADD11C,1*%", "D11*", "X0Y0D03*"], "", "--grow"
    )
    assert [group for group in groups(said) if group["why"] == "islands"] == []
    assert len(written()) == 2


def test_slivers_are_left_out_and_told(trim: Trim) -> None:
    # a region of 0.01 x 0.1: 0.001 mm2, below the 0.002 that is an opening
    corners = ["X5010000Y0D01*", "X5010000Y100000D01*", "X5000000Y100000D01*", "X5000000Y0D01*"]
    sliver = ["G36*", "X5000000Y0D02*", "G01*", *corners, "G37*"]
    said = trimmed(trim, ["%ADD10R,1X2*%", "D10*", "X0Y0D03*", *sliver], "")
    assert len(written()) == 1
    assert "sliver" in " ".join(one["text"] for one in said.document["diagnostics"])


# ----------------------------------------------------------------------------------------- corners


def test_corners_of_any_outline_are_rounded(trim: Trim) -> None:
    # five convex corners lose (1 - pi / 4) r2 each; the inner corner stays
    (group,) = groups(trimmed(trim, ELL, "  corners: {radius: 0.1 mm, source: s}\n"))
    assert group["why"] == "corners"
    assert area_mm2() == pytest.approx(2 * 0.6 + 1.4 * 0.6 - 5 * (1 - np.pi / 4) * 0.01, abs=1e-5)


def test_a_narrow_outline_keeps_its_corners(trim: Trim) -> None:
    # arms of 0.6 cannot hold a disc of 0.62
    assert groups(trimmed(trim, ELL, "  corners: {radius: 0.31 mm, source: s}\n")) == []


def test_rectangles_narrower_than_the_radius_get_round_ends(trim: Trim) -> None:
    flash = ["%ADD10R,0.3X1*%", "D10*", "X0Y0D03*"]
    (group,) = groups(trimmed(trim, flash, "  corners: {radius: 0.5 mm, source: s}\n"))
    assert group["why"] == "corners"
    assert "%ADD10O,0.3X1.0*%" in Path("out.gbr").read_text(encoding="ascii")


# ----------------------------------------------------------------------------------------- selected


def test_an_inset_draws_in_every_wall_of_any_outline(trim: Trim) -> None:
    # arms 0.5 wide, 1.9 long
    (group,) = groups(trimmed(trim, ELL, "  selected: {ells: {inset: 0.05 mm, source: s}}\n"))
    assert group["why"] == "selected"
    assert area_mm2() == pytest.approx(1.9 * 0.5 + 1.4 * 0.5)


def test_a_share_of_the_area_keeps_the_figure(trim: Trim) -> None:
    # 1 x 2, 0.81 of it: 0.9 x 1.8
    flash = ["%ADD10R,1X2*%", "D10*", "X0Y0D03*"]
    (group,) = groups(trimmed(trim, flash, "  selected: {wide: {area-share: 0.81, source: s}}\n"))
    assert group["to"] == {"width_mm": 0.9, "length_mm": 1.8, "round": False}


CHOICE = ["%ADD10R,1X2*%", "D10*", "%TO.C,U1*%", "X0Y0D03*", "%TO.C,J3*%", "X5000000Y0D03*", "%TD*%",
          "X10000000Y0D03*", "%ADD11R,3.2X4.1*%", "D11*", "%TO.C,U22*%", "X20000000Y0D03*"]  # fmt: skip


@pytest.mark.parametrize(
    ("conditions", "rows"),
    [
        ("component: 'U*'", {1, 4}),
        ("component: 'J3, U2?'", {2, 4}),
        ("wider-than: 1 mm", {4}),
        ("shorter-than: 3 mm, component: U1", {1}),
        ("narrower-than: 2 mm", {1, 2, 3}),
        ("failed: opening-span", {4}),
        ("component: X9", set()),
    ],
)
def test_entries_select_by_size_by_component_and_by_what_failed(
    trim: Trim, conditions: str, rows: set[int]
) -> None:
    said = trimmed(trim, CHOICE, f"  selected: {{some: {{{conditions}, inset: 0.05 mm, source: s}}}}\n")
    assert {row for group in groups(said) for row in group["rows"]} == rows


def test_the_first_entry_that_fits_counts(trim: Trim) -> None:
    flash = ["%ADD10R,1X2*%", "D10*", "X0Y0D03*"]
    both = "{first: {inset: 0.05 mm, source: s}, second: {inset: 0.1 mm, source: s}}"
    (group,) = groups(trimmed(trim, flash, f"  selected: {both}\n"))
    assert group["to"]["width_mm"] == pytest.approx(0.9)


# ----------------------------------------------------------------------------------------- panes

LARGE = "  large: {coverage: 0.80, wider-than: 2.999 mm, longer-than: 3.999 mm, source: s}\n"


@pytest.mark.parametrize(
    ("statements", "panes"),
    [
        (["%ADD10C,5*%", "D10*", "X0Y0D03*"], 4),
        (["%ADD10O,8X3.5*%", "D10*", "X0Y0D03*"], 6),
        (["%ADD10R,6X4*%", "D10*", "X0Y0D03*"], 4),
        (["%LR30*%", "%ADD10R,6X4*%", "D10*", "X0Y0D03*"], 4),
    ],
    ids=["circle", "obround", "rectangle", "turned rectangle"],
)
def test_large_openings_of_any_outline_become_panes_within_it_that_cover_what_is_asked_for(
    trim: Trim, statements: list[str], panes: int
) -> None:
    said = trimmed(trim, statements, LARGE)
    (group,) = groups(said)
    assert (group["why"], group["openings"]["after"]) == ("large", panes)
    volume = group["volume_mm3"]
    # an obround is mostly webs: those of 0.40 leave no more than 0.80 of it already
    assert 0.76 < volume["after"] / volume["before"] <= 0.8001
    drawn = cut_from(gerber.read(Path("layer.gbr").read_bytes(), "layer.gbr"))
    now = written()
    inside = shapely.buffer(_union(drawn), 2e-4)
    assert inside.contains(_union(now))
    gaps = [
        shapely.distance(one, other)
        for k, one in enumerate(_outlines(now))
        for other in _outlines(now)[k + 1 :]
    ]
    assert min(gaps) == pytest.approx(0.4, abs=2e-3)


def _outlines(openings: Openings) -> list[shapely.Geometry]:
    from pastecheck.trim.likeness import outlines

    return list(outlines(openings, np.arange(len(openings))))


def _union(openings: Openings) -> shapely.Geometry:
    return shapely.union_all(_outlines(openings))


# ----------------------------------------------------------------------------------------- on request


def test_what_waits_to_be_asked_for_is_done_only_then(trim: Trim) -> None:
    flash = ["%ADD10R,6X4*%", "D10*", "X0Y0D03*"]  # the set that ships for film of 75 um has it so
    assert groups(trimmed(trim, flash, "")) == []
    said = trimmed(trim, flash, "", "--also", "large")
    assert [group["why"] for group in groups(said)] == ["large"]
    assert said.document["asked"] == ["large"]
    assert "asked for: large" in " ".join(said.out.split())


def test_only_what_waits_can_be_asked_for(trim: Trim) -> None:
    said = trimmed(trim, RING, "", "--also", "circels")
    assert said.status == 2
    assert "--also 'circels': there is no such entry to ask for (did you mean 'circles'?)" in said.err


def test_what_counts_anyway_need_not_be_asked_for(trim: Trim) -> None:
    said = trimmed(trim, RING, "", "--also", "thermal")
    assert said.status == 2
    assert "--also 'thermal': it counts without being asked for (leave it out)" in said.err
