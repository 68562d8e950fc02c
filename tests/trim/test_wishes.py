"""What cannot be as it is asked for is told with its figures."""

from pathlib import Path
from typing import Any

import pytest

from tests.drawn import mm_layer
from tests.trim.conftest import Trim
from tests.trim.test_entries import groups, trimmed
from tests.trim.test_shares import WEDGE

NECK = ["%ADD11R,1.2X0.2*%", "D11*", "X750000Y0D03*"]
DUMBBELL = ["%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X1500000Y0D03*", *NECK]
"""With a neck of 0.2: drawn in by 0.12 it is two."""


PANES = (
    "  large: {{coverage: {}, web: {} mm, pane: 0.8 mm, wider-than: 1 mm, longer-than: 1 mm, source: s}}\n"
)


def test_panes_that_cannot_cover_what_is_asked_for_say_what_they_cover(trim: Trim) -> None:
    # 3.1 in panes of at most 0.8: four a side; three webs of 0.2 leave 2.5 / 4 = 0.625, and steps 0.62;
    # 16 x 0.62 x 0.62 of 3.1 x 3.1 is 64.0 %
    square = ["%ADD10R,3.1X3.1*%", "D10*", "X0Y0D03*"]
    (group,) = groups(trimmed(trim, square, PANES.format(0.7, 0.2)))
    assert (group["held"], group["openings"]["after"]) == ("coverage", 16)
    assert (
        "coverage of 70 % was asked for: webs of 0.200 mm between panes of at most 0.800 mm leave 64 %"
        in (group["says"])
    )


@pytest.mark.parametrize("shape", ["R,3.1X3.1", "C,3.1"])
def test_webs_that_leave_no_room_for_panes_are_told(trim: Trim, shape: str) -> None:
    (group,) = groups(trimmed(trim, [f"%ADD10{shape}*%", "D10*", "X0Y0D03*"], PANES.format(0.7, 4)))
    assert (group["why"], group["held"]) == ("unchanged", "no_room")
    assert group["says"] == "left as it was: webs of 4.000 mm leave no room for openings between them"


def selected(trim: Trim, statements: list[str], entry: str) -> dict[str, Any]:
    (group,) = groups(trimmed(trim, statements, f"  selected: {{mine: {{{entry}, source: s}}}}\n"))
    return group


def test_what_is_asked_to_be_smaller_than_film_allows_is_made_as_small_as_it_allows(trim: Trim) -> None:
    # 0.5 x 1.5 less 0.2 at each side would be 0.1; openings of 0.167 can be cut: 0.1665 off each side
    group = selected(trim, ["%ADD10R,0.5X1.5*%", "D10*", "X0Y0D03*"], "inset: 0.2 mm")
    assert (group["why"], group["held"]) == ("selected", "width")
    assert group["to"]["width_mm"] == pytest.approx(0.167, abs=1e-5)
    assert group["says"].startswith(
        "0.100 mm was asked for, narrower than this foil and cutter can make it; "
    )


def test_foils_in_which_it_could_be_made_are_named(trim: Trim) -> None:
    # 0.5 x 1.5 less 0.17: 0.16; lasers do that, in thin film, where area and aspect ratio allow it
    group = selected(trim, ["%ADD10R,0.5X1.5*%", "D10*", "X0Y0D03*"], "inset: 0.17 mm")
    assert "what would do: " in group["says"]
    assert "polyimide-75-laser" in group["says"]


@pytest.mark.parametrize(
    ("statements", "entry"),
    [
        (["%ADD10R,1X2*%", "D10*", "X0Y0D03*"], "inset: 0.6 mm"),
        (WEDGE, "inset: 0.6 mm"),
        (DUMBBELL, "inset: 0.12 mm"),
    ],
    ids=["rectangle", "wedge", "dumbbell"],
)  # fmt: skip
def test_what_would_be_gone_or_fall_apart_is_left_and_told(
    trim: Trim, statements: list[str], entry: str
) -> None:
    group = selected(trim, statements, entry)
    assert (group["why"], group["held"]) == ("unchanged", "apart")
    assert "it would fall apart, or be gone" in group["says"]


def test_the_check_is_named_by_which_a_change_is_refused(trim: Trim) -> None:
    # a wedge of 1 x 1 less 0.45 at each side: 0.1 wide
    group = selected(trim, WEDGE, "inset: 0.45 mm")
    assert (group["why"], group["held"]) == ("unchanged", "refused")
    assert "it would have brought an error (" in group["says"]


def test_what_two_entries_fit_is_told(trim: Trim) -> None:
    both = "{first: {inset: 0.05 mm, source: s}, second: {inset: 0.1 mm, wider-than: 0.9 mm, source: s}}"
    flashes = [
        "%ADD10R,1X2*%",
        "D10*",
        "X0Y0D03*",
        "X5000000Y0D03*",
        "%ADD11R,0.8X2*%",
        "D11*",
        "X9000000Y0D03*",
    ]
    said = trimmed(trim, flashes, f"  selected: {both}\n")
    note = "selected second: of those that it fits, 2 openings left to selected first, which counts first"
    assert said.document["notes"] == [note]
    assert note in " ".join(said.out.split())


def test_leads_that_an_entry_fits_are_told_to_be_left_to_the_rows(trim: Trim) -> None:
    row = ["%ADD10R,0.2X1.5*%", "D10*", *(f"X{k * 500000}Y0D03*" for k in range(5))]
    said = trimmed(trim, row, "  selected: {mine: {inset: 0.01 mm, source: s}}\n")
    assert said.document["notes"] == [
        "selected mine: of those that it fits, 5 openings left to rows, which counts first"
    ]


def test_an_entry_that_fits_nothing_is_told(trim: Trim) -> None:
    said = trimmed(trim, WEDGE, "  selected: {mine: {inset: 0.01 mm, component: U77, source: s}}\n")
    assert said.document["notes"] == ["selected mine: it fits no opening of this layer"]


def test_what_would_do_goes_by_a_wish_of_ones_own(trim: Trim) -> None:
    # 0.05 mm is asked for, whatever the foil: in none is that half of the volume of metal foil
    row = ["%ADD10R,0.3X1.5*%", "D10*", *(f"X{k * 500000}Y0D03*" for k in range(5))]
    mine = "  rows: {share-of-pitch: 0.1, gap: 0.45 mm, gaps-below: 0.4 mm, source: s}\n"
    (group,) = groups(trimmed(trim, row, mine))
    assert group["held"] == "volume"
    assert group["says"].endswith("no foil that ships would do")


def test_wishes_for_another_foil_are_told_to_be_such(trim: Trim) -> None:
    said = trimmed(trim, WEDGE, "  corners: {radius: 0.1 mm, source: s}\n", "--thickness", "125 um")
    note = "the rule set is for foil of 75 um, not 125 um: what it asks to be trimmed may not suit"
    assert said.document["notes"] == [note]
    assert "for polyester film, 125 um, by the rule set mine" in Path("out.gbr").read_text(encoding="ascii")


def test_errors_that_only_the_loss_of_curves_brings_are_told_to_be_such(trim: Trim) -> None:
    # Two angles, 0.1669 mm apart: 0.1 um below 0.167, which is within the bound where outlines have curves.
    # Theirs are those of a pen of 1 um, too small to be written as arcs; without them the bound is nothing.
    lines = ["%ADD10C,0.001*%", "D10*"]
    for left in (0, 1167900):
        right, middle = left + 1000000, left + 400000
        way = [f"X{left}Y0D02*", f"X{right}Y0D01*", f"X{right}Y400000D01*", f"X{middle}Y400000D01*"]
        way += [f"X{middle}Y1000000D01*", f"X{left}Y1000000D01*", f"X{left}Y0D01*"]
        lines += ["G36*", *way, "G37*", *way]
    Path("layer.gbr").write_text(mm_layer(*lines), encoding="utf-8")
    said = trim("layer.gbr", "--rules", "polyester-75-knife", "--out", "out.gbr", "--as-paste")
    (webs,) = (one for one in said.document["findings"] if one["check"] == "web-width")
    assert webs["errors"] == {"before": 0, "after": 1}
    (note,) = said.document["notes"]
    assert note.startswith("web-width: 1 error more than as drawn, though nothing was changed")


@pytest.mark.parametrize("web", [1.7, 9])
def test_webs_that_would_leave_nothing_of_a_ring_are_told(trim: Trim, web: float) -> None:
    # R 0.8: bars of 1.7 from its middle cover it
    islands = f"  islands: {{smaller-than: 0.05 mm2, web: {web} mm, source: s}}\n"
    (group,) = groups(trimmed(trim, ["%ADD10C,1.6X1*%", "D10*", "X0Y0D03*"], islands))
    assert (group["why"], group["held"]) == ("unchanged", "no_room")


def test_circles_too_small_to_be_squares_are_told(trim: Trim) -> None:
    # 0.5 x 0.3: 0.15, below 0.167
    circles = "  circles: {narrower-than: 0.6 mm, side-of-diameter: 0.5, source: s}\n"
    (group,) = groups(trimmed(trim, ["%ADD10C,0.3*%", "D10*", "X0Y0D03*"], circles))
    assert (group["why"], group["held"]) == ("unchanged", "width")
    assert group["says"].startswith("0.150 mm was asked for")


def test_panes_at_the_rim_of_a_circle_that_would_be_slivers_are_left_out(trim: Trim) -> None:
    # 5 mm in cells of (5 - 6 x 0.25) / 7 = 0.5 at 0.75: of the 49, three at each corner have less than a
    # quarter of their room, such as that at (2.25, 1.5), which has its nearest corner 2.36 from the middle
    large = PANES.format(0.7, 0.25)
    (group,) = groups(trimmed(trim, ["%ADD10C,5*%", "D10*", "X0Y0D03*"], large))
    assert (group["why"], group["openings"]["after"]) == ("large", 37)


def test_what_grows_in_a_file_in_inches_grows_enough(trim: Trim) -> None:
    # circles of 0.225 at 0.5 become 0.30, area ratio 0.30 / (4 x 0.125) = 0.600; 0.30 mm is no round number
    # of inches, and what is a hair smaller has its error still
    places = [f"X{x}Y{y}D03*" for x in (0, 19685, 39370) for y in (0, 19685, 39370)]
    inches = ["%FSLAX26Y26*%", "%MOIN*%", "%ADD10C,0.00885827*%", "D10*", *places, "M02*"]
    Path("layer.gbr").write_text("\n".join(inches), encoding="utf-8")
    rules = ("--rules", "polyimide-125-laser", "--as-paste", "--grow")
    said = trim("layer.gbr", *rules, "--out", "out.gbr")
    (ratios,) = (one for one in said.document["findings"] if one["check"] == "area-ratio")
    assert ratios["errors"] == {"before": 9, "after": 0}
    assert said.document["groups"][0]["to"]["width_mm"] == pytest.approx(0.30, abs=3e-5)
    assert trim("out.gbr", *rules, "--out", "again.gbr").document["groups"] == []
    assert Path("again.gbr").read_bytes() == Path("out.gbr").read_bytes()


def test_openings_that_two_components_share_are_told_of_the_result_as_well(trim: Trim) -> None:
    # each is drawn in one piece now, and would look like one of a single component
    flashes = ["%ADD10R,1X1*%", "D10*", "%TO.C,R1*%", "X0Y0D03*", "%TO.C,R2*%", "X900000Y0D03*"]
    said = trimmed(trim, flashes, "  corners: {radius: 0.1 mm, source: s}\n")
    assert said.document["verdict"] == "care"
    assert said.out.count("[shared-opening]") == 2
