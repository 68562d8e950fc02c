"""The command `trim`: what it writes, what it refuses, and that no file is ever half written."""

import hashlib
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.cli import main
from pastecheck.openings import cut_from
from tests.cli.layers import BAD, CAREFUL, GOOD
from tests.drawn import mm_layer
from tests.trim.conftest import FIXTURES, Trim
from tests.trim.test_worked_table import row

BOARD = FIXTURES / "boards" / "greenhouse-logger-a"
RULES = ("--rules", "polyester-75-knife")


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_revision_a_of_the_demo_board_trimmed_passes(trim: Trim, side: str) -> None:
    path = BOARD / f"greenhouse-logger-paste-{side}.gbr"
    said = trim(str(path), *RULES, "--out", f"paste-{side}.gbr", "--grow")
    assert said.status == 0
    assert main(["check", f"paste-{side}.gbr", *RULES]) == 0
    assert sum(one["errors"]["before"] for one in said.document["findings"]) > 0


def test_its_fine_rows_come_out_at_the_width_that_the_rule_set_asks_for(trim: Trim) -> None:
    # 48 leads at 0.5 mm pitch, 0.30 wide: max(0.5 x 0.5, 0.5 - 0.25) = 0.25
    said = trim(str(BOARD / "greenhouse-logger-paste-top.gbr"), *RULES, "--out", "out.gbr")
    (group,) = [one for one in said.document["groups"] if one["why"] == "rows"]
    assert group["openings"] == {"before": 48, "after": 48}
    assert group["to"] == {"width_mm": 0.25, "length_mm": 1.5, "round": False}


def test_without_leave_nothing_grows(trim: Trim) -> None:
    said = trim(str(BOARD / "greenhouse-logger-paste-top.gbr"), *RULES, "--out", "out.gbr")
    assert said.status == 1
    for group in said.document["groups"]:
        assert group["to"]["width_mm"] <= group["from"]["width_mm"]
        assert group["to"]["length_mm"] <= group["from"]["length_mm"]


def test_trimming_what_was_trimmed_changes_not_a_byte(trim: Trim) -> None:
    path = str(BOARD / "greenhouse-logger-paste-top.gbr")
    assert trim(path, *RULES, "--out", "one.gbr").document["groups"]
    again = trim("one.gbr", *RULES, "--out", "two.gbr").document
    assert [group for group in again["groups"] if group["why"] != "unchanged"] == []
    assert again["trimmed_before"]
    assert Path("two.gbr").read_bytes() == Path("one.gbr").read_bytes()


def test_what_was_trimmed_and_then_drawn_twice_by_hand_is_written_anew_once(trim: Trim) -> None:
    path = str(BOARD / "greenhouse-logger-paste-top.gbr")
    trim(path, *RULES, "--out", "one.gbr")
    content = Path("one.gbr").read_bytes()
    flash = next(line for line in content.splitlines() if line.endswith(b"D03*"))
    Path("edited.gbr").write_bytes(content.replace(flash, flash + b"\n" + flash, 1))
    assert trim("edited.gbr", *RULES, "--out", "two.gbr").status != 2
    assert Path("two.gbr").read_bytes().count(flash + b"\n") == content.count(flash + b"\n")


def test_what_is_said_of_openings_in_the_layer_is_said_in_the_trimmed_one(trim: Trim) -> None:
    # a row of five leads at 0.5 mm pitch is narrowed from 0.3 to 0.25
    said = ("%TO.C,U1*%", "%TO.P,U1,1,CLK*%", "%TO.N,Net-(U1-CLK)*%", "%TO.CMfr,Maker*%", "%TOMine,1*%")
    leads = [f"X{500 * k}000Y0D03*" for k in range(1, 5)]
    text = mm_layer(
        "%TA.AperFunction,Material*%",
        "%ADD10R,0.3X1.5*%",
        "D10*",
        *said,
        "X0Y0D03*",
        "%TD*%",
        said[0],
        *leads,
    )
    Path("layer.gbr").write_text(text, encoding="utf-8")
    trim("layer.gbr", *RULES, "--out", "one.gbr", "--as-paste")
    lines = Path("one.gbr").read_text(encoding="ascii").splitlines()
    begin, end = lines.index("D10*"), lines.index("X0Y0D03*")
    assert lines[lines.index("%ADD10R,0.25X1.5*%") - 1] == "%TA.AperFunction,Material*%"
    assert set(lines[begin + 1 : end]) == set(said)
    assert trim("one.gbr", *RULES, "--out", "two.gbr", "--as-paste").status != 2
    assert Path("two.gbr").read_bytes() == Path("one.gbr").read_bytes()


def test_more_attributes_than_the_limit_are_not_written(trim: Trim) -> None:
    # two are in force at one change only, but four openings have them
    drawn = [f"X{9 * k}000000Y0D03*" for k in range(4)]
    text = mm_layer("%ADD10C,1*%", "D10*", "%TO.C,U1*%", "%TOMine,1*%", *drawn)
    Path("layer.gbr").write_text(text, encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste", "--limit", "attributes=7")
    assert said.status == 2
    assert "the openings have 8 attributes in all; at most 7 are written" in said.err
    assert not Path("out.gbr").exists()
    assert trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste", "--limit", "attributes=8").status == 0


def test_what_is_relative_to_the_size_is_done_once_whatever_else_is_asked_for(trim: Trim) -> None:
    # chips of 0.8 x 0.9 lose a tenth in foil of 125 um; another share, or squares, are another matter
    text = mm_layer(
        "%ADD10R,0.8X0.9*%", "D10*", "X0Y0D03*", "X1600000Y0D03*", "%ADD11C,0.5*%", "D11*", "X0Y9000000D03*"
    )
    Path("layer.gbr").write_text(text, encoding="utf-8")
    Path("more.yaml").write_text(
        "title: m\nextends: stainless-125-laser\n"
        "trim: {circles: {narrower-than: 0.6 mm, only-if-asked: true, source: s}}\n",
        encoding="utf-8",
    )
    Path("less.yaml").write_text(
        "title: l\nextends: stainless-125-laser\ntrim: {chips: {area-share: 0.8, source: s}}\n",
        encoding="utf-8",
    )
    trim("layer.gbr", "--rules", "stainless-125-laser", "--out", "one.gbr", "--as-paste")

    def again(*more: str) -> list[str]:
        done = trim("one.gbr", *more, "--dry-run", "--as-paste").document
        return [group["why"] for group in done["groups"]]

    assert again("--rules", "stainless-125-laser") == []
    assert again("--rules", "more.yaml", "--also", "circles") == ["circles"]
    assert again("--rules", "less.yaml") == ["chips"]


def test_the_input_is_not_touched_and_what_is_written_names_it(trim: Trim) -> None:
    Path("layer.gbr").write_text(row(0.3, 1.5, 0.5), encoding="utf-8")
    before = Path("layer.gbr").read_bytes()
    trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    assert Path("layer.gbr").read_bytes() == before
    digest = hashlib.sha256(before).hexdigest()
    assert f"G04 from layer.gbr, sha256 {digest}*" in Path("out.gbr").read_text(encoding="ascii")


def test_what_the_file_says_of_its_board_is_kept_and_what_no_longer_holds_is_not(trim: Trim) -> None:
    says = [
        "%TF.Part,Single*%",
        r"G04 #@! TF.ProjectId,logger\u002C green,7,2*",
        "%TF.CreationDate,2026-01-01T00:00:00Z*%",
        "%TF.MD5,6ab9e892830469cdff7e3e346331d404*%",
        "%TFHouse,ours*%",
    ]
    text = mm_layer(*says, "%ADD10R,1X2*%", "D10*", "X0Y0D03*")
    Path("layer.gbr").write_text(text, encoding="utf-8")
    trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    lines = Path("out.gbr").read_text(encoding="ascii").splitlines()
    kept = [r"%TF.Part,Single*%", r"%TF.ProjectId,logger\u002C green,7,2*%", "%TFHouse,ours*%"]
    assert [line for line in lines if line in kept] == kept
    assert not [line for line in lines if "CreationDate" in line or "MD5" in line]


def test_the_same_input_gives_the_same_bytes(trim: Trim) -> None:
    Path("layer.gbr").write_bytes(GOOD)
    for out in ("one.gbr", "two.gbr"):
        trim("layer.gbr", *RULES, "--out", out)
    assert Path("one.gbr").read_bytes() == Path("two.gbr").read_bytes()


def test_a_dry_run_writes_no_layer(trim: Trim) -> None:
    Path("layer.gbr").write_text(row(0.3, 1.5, 0.5), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--dry-run", "--out", "out.gbr", "--as-paste")
    assert not Path("out.gbr").exists()
    assert "a trial: out.gbr was not written" in said.out
    assert said.document["written"] is False


@pytest.mark.parametrize(("content", "status"), [(GOOD, 0), (CAREFUL, 0), (BAD, 1)])
def test_the_status_is_that_of_check_on_the_result(trim: Trim, content: bytes, status: int) -> None:
    Path("layer.gbr").write_bytes(content)
    assert trim("layer.gbr", *RULES, "--out", "out.gbr").status == status
    assert main(["check", "out.gbr", *RULES]) == status


def test_a_file_that_is_there_is_replaced_only_by_force(trim: Trim) -> None:
    Path("layer.gbr").write_bytes(GOOD)
    Path("out.gbr").write_text("mine", encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr")
    assert (said.status, Path("out.gbr").read_text(encoding="utf-8")) == (2, "mine")
    assert "there is a file 'out.gbr' already (name another, or add --force)" in said.err
    assert trim("layer.gbr", *RULES, "--out", "out.gbr", "--force").status == 0
    assert Path("out.gbr").read_bytes().startswith(b"G04 ")


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["layer.gbr", *RULES], "no file was named to write"),
        (["layer.gbr", *RULES, "--out", "layer.gbr", "--force"], "is read, and would be overwritten"),
        (["layer.gbr", *RULES, "--out", "-"], "--out names no file"),
        ([*RULES, "--out", "out.gbr"], "name one layer to trim"),
        (["layer.gbr", "--rules", "mine.yaml", "--out", "out.gbr"], "says nothing of trimming"),
        (["layer.gbr", "layer.gbr", *RULES, "--out", "out.gbr"], "name one layer to trim"),
    ],
)
def test_what_cannot_be_done_is_refused(trim: Trim, argv: list[str], says: str) -> None:
    Path("layer.gbr").write_bytes(GOOD)
    Path("mine.yaml").write_text(
        "title: t\nfoil: {name: f, material: m, thickness: 75 um}\n"
        "rules: {area-ratio: {error-below: 0.6, source: s}}\n",
        encoding="utf-8",
    )
    said = trim(*argv)
    assert said.status == 2
    assert says in said.err
    assert Path("layer.gbr").read_bytes() == GOOD


def test_corners_and_selected_openings_follow_the_rule_set(trim: Trim) -> None:
    # 0.6 x 1.2 drawn; inset 0.05 on every side, then corners of 0.1
    Path("layer.gbr").write_bytes(GOOD)
    Path("mine.yaml").write_text(
        "title: mine\nextends: polyester-75-knife\ntrim:\n  corners: {radius: 0.1 mm, source: s}\n"
        "  selected:\n    wide: {wider-than: 0.5 mm, inset: 0.05 mm, source: s}\n",
        encoding="utf-8",
    )
    (group,) = trim("layer.gbr", "--rules", "mine.yaml", "--out", "out.gbr").document["groups"]
    assert group["to"] == {"width_mm": 0.5, "length_mm": 1.1, "round": False}
    openings = cut_from(gerber.read(Path("out.gbr").read_bytes(), "out.gbr"))
    assert openings.shapes.radius_mm == pytest.approx([0.1])


NEARLY_TOUCHING = """%FSLAX26Y26*%
%MOIN*%
%AMHALF*
4,1,3,0,0,0.04,0,0,0.06,0,0,0*
%
%AMOTHER*
4,1,3,-0.0000004,0,-0.04,0,-0.0000004,0.06,-0.0000004,0,0*
%
%ADD10HALF*%
%ADD11OTHER*%
D10*
X0Y0D03*
D11*
X0Y0D03*
M02*
"""
"""Two triangles 10 nm apart, where a coordinate in inches has steps of 25 nm."""


def test_what_cannot_be_proved_is_not_written(trim: Trim) -> None:
    Path("layer.gbr").write_text(NEARLY_TOUCHING, encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    what = "layer.gbr: error[not-proved]: 2 openings, written and read again, would be 1 (some nearly touch, "
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(what)
    assert not Path("out.gbr").exists()


def test_what_a_coarse_file_in_inches_rounded_is_allowed_for_in_the_trimmed_one_too(trim: Trim) -> None:
    # 6.5 mil are 0.1651 mm, 1.9 um below 0.167; a step of 0.0001 inch is 2.54 um
    text = "%FSLAX24Y24*%%MOIN*%%ADD10R,0.0065X0.06*%%ADD11R,0.03X0.0275*%D10*X0Y0D03*D11*X1000Y0D03*M02*"
    Path("paste-top.gbr").write_text(text, encoding="utf-8")
    assert main(["check", "paste-top.gbr", *RULES]) == 0
    said = trim("paste-top.gbr", *RULES, "--out", "out-paste-top.gbr")
    assert said.status == 0
    assert "%TFPastecheckSourceStep,0.00254*%" in Path("out-paste-top.gbr").read_text(encoding="utf-8")
    assert main(["check", "out-paste-top.gbr", *RULES]) == 0
    trim("out-paste-top.gbr", *RULES, "--out", "again-paste-top.gbr")
    assert Path("again-paste-top.gbr").read_bytes() == Path("out-paste-top.gbr").read_bytes()


@pytest.mark.parametrize(
    ("value", "step_mm"), [("0.00254", 0.00254), ("0.0000001", 1e-6), ("1e9", 1e-6), ("", 1e-6)]
)
def test_a_file_may_say_that_it_was_made_from_coarser_numbers_and_never_that_it_is_finer(
    value: str, step_mm: float
) -> None:
    text = mm_layer(f"%TFPastecheckSourceStep,{value}*%", "%ADD10R,1X2*%", "D10*", "X0Y0D03*")
    assert gerber.read(text.encode(), "paste-top.gbr").step_mm == step_mm


@pytest.mark.parametrize("more", [(), ("--outlines", "out.svg"), ("--page", "out.html")])
def test_where_more_is_near_each_other_than_is_looked_at_nothing_is_written(
    trim: Trim, more: tuple[str, ...]
) -> None:
    path = str(BOARD / "greenhouse-logger-paste-top.gbr")
    said = trim(path, *RULES, "--out", "out.gbr", "--limit", "neighbours=10", *more)
    assert said.status == 2
    assert said.err.startswith(f"{path}: error[too-large]: ")
    assert "--limit neighbours=" in said.err
    assert not list(Path().glob("out.*"))


def test_more_panes_than_a_layer_may_hold_are_refused_before_they_are_made(trim: Trim) -> None:
    # 12 mm in panes of 3 um: 4000 x 4000
    Path("fine.yaml").write_text(
        "title: fine\nextends: polyester-75-knife\ntrim:\n  large: {coverage: 0.6, web: 1 um, pane: 3 um, "
        "step: 1 um, wider-than: 1 mm, longer-than: 1 mm, source: s}\n",
        encoding="utf-8",
    )
    Path("paste-top.gbr").write_text(mm_layer("%ADD10R,12X12*%", "D10*", "X0Y0D03*"), encoding="utf-8")
    said = trim("paste-top.gbr", "--rules", "fine.yaml", "--out", "out.gbr")
    assert said.status == 2
    assert "there would be 16000000 panes of at most 0.003 mm" in said.err
