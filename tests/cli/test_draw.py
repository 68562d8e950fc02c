"""The command `draw`: what goes where, what is refused, and what is told."""

import zipfile
from pathlib import Path

import pytest

from tests.cli import layers
from tests.cli.conftest import Run

KNIFE = "polyester-75-knife"
DRAWN = ("%ADD20R,0.3X1.5*%", "D20*", "X0Y0D03*", "X450000D03*")
"""Two slots 0.15 mm apart: an error."""
SLOTS = layers.layer(*DRAWN, function="")
EMPTY = layers.layer(function="Paste,Bot")


@pytest.fixture(autouse=True)
def paste(run: Run) -> None:
    """Layers, in the folder that commands run in."""
    Path("paste.gbr").write_bytes(SLOTS)
    Path("board").mkdir()
    Path("board/logger-paste-top.gbr").write_bytes(layers.layer(*DRAWN))
    Path("board/logger-paste-bottom.gbr").write_bytes(layers.layer(*DRAWN, function="Paste,Bot"))


def test_openings_are_drawn_without_a_rule_set(run: Run) -> None:
    said = run("draw", "paste.gbr", "--out", "paste.svg")
    assert (said.status, said.err) == (0, "")
    assert "paste.gbr: as the file has it; 2 openings\n" in said.out
    assert said.out.endswith("'paste.svg' is written\n")
    text = Path("paste.svg").read_text(encoding="utf-8")
    assert 'class="outlines"' in text
    assert 'class="halo' not in text


def test_with_a_rule_set_what_is_wrong_is_marked(run: Run) -> None:
    said = run("draw", "paste.gbr", "--rules", KNIFE, "--out", "paste.svg")
    assert said.status == 0
    assert "errors in 1 place" in said.out
    assert 'class="halo error"' in Path("paste.svg").read_text(encoding="utf-8")


def test_both_sides_of_a_folder_stand_side_by_side_the_bottom_seen_from_below(run: Run) -> None:
    said = run("draw", "board", "--out", "board.svg")
    first, second = said.out.splitlines()[:2]
    assert first == "board/logger-paste-top.gbr: top, seen from above; 2 openings"
    assert second == "board/logger-paste-bottom.gbr: bottom, seen from below; 2 openings"
    assert Path("board.svg").read_text(encoding="utf-8").count('class="sheet"') == 2


def test_one_side_may_be_chosen(run: Run) -> None:
    assert "-top.gbr" not in run("draw", "board", "--side", "bottom", "--out", "b.svg").out
    assert "-bottom.gbr" not in run("draw", "board", "--side", "top", "--out", "t.svg").out


def test_the_bottom_may_be_drawn_as_the_file_has_it(run: Run) -> None:
    said = run("draw", "board", "--side", "bottom", "--as-drawn", "--out", "b.svg")
    assert "bottom, seen through the board; 2 openings" in said.out


def test_a_side_that_is_not_there_is_refused(run: Run) -> None:
    said = run("draw", "paste.gbr", "--side", "top", "--out", "paste.svg")
    assert said.status == 2
    assert "no layer is known to be of that side (there is 'paste.gbr' (unknown)" in said.err
    assert not Path("paste.svg").exists()


def test_a_picture_in_pixels_is_made_where_the_name_says_so(run: Run) -> None:
    assert run("draw", "paste.gbr", "--out", "paste.png", "--dpi", "100").status == 0
    assert Path("paste.png").read_bytes().startswith(b"\x89PNG")


def test_it_may_go_to_standard_output(run: Run) -> None:
    said = run("draw", "paste.gbr", "--out", "-")
    assert (said.status, said.out[:4], said.out[-7:]) == (0, "<svg", "</svg>\n")


@pytest.mark.parametrize(
    ("arguments", "error"),
    [
        ([], "no layer was named"),
        (["paste.gbr"], "no file was named to draw to (add --out FILE.svg"),
        (["paste.gbr", "--out", "paste.pdf"], "'paste.pdf' does not say what kind of picture is wanted"),
        (["paste.gbr", "--out", "p.svg", "--dpi", "300"], "--dpi is for pictures in pixels"),
        (["paste.gbr", "--out", "p.png", "--dpi", "fine"], "--dpi 'fine' is no number of pixels"),
        (["paste.gbr", "--out", "p.png", "--dpi", "0"], "--dpi '0' is no number of pixels"),
        (["paste.gbr", "--out", "p.png", "--dpi", "99999"], "pixels (write --dpi"),
        (
            ["paste.gbr", "--out", "p.svg", "--thickness", "75 um"],
            "--thickness is given, and nothing to judge",
        ),
        (["none.gbr", "--out", "p.svg"], "there is no such file"),
        (["paste.gbr", "--out", "no-folder/p.svg"], "has no folder to stand in"),
        (["paste.gbr", "--out", "p.svg/"], "is named as a folder: 'p.svg/' (name a file)"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(run: Run, arguments: list[str], error: str) -> None:
    before = sorted(Path().rglob("*"))
    said = run("draw", *arguments)
    assert said.status == 2
    assert error in said.err
    assert sorted(Path().rglob("*")) == before


def test_no_input_is_drawn_over(run: Run) -> None:
    Path("paste.svg").write_bytes(SLOTS)
    said = run("draw", "paste.svg", "--as-paste", "--out", "paste.svg")
    assert said.status == 2
    assert "'paste.svg' is read, and would be overwritten" in said.err
    assert Path("paste.svg").read_bytes() == SLOTS


def test_an_archive_is_drawn_as_a_folder_is(run: Run) -> None:
    with zipfile.ZipFile("board.zip", "w") as archive:
        archive.write("board/logger-paste-top.gbr", "logger-paste-top.gbr")
    assert "top, seen from above; 2 openings" in run("draw", "board.zip", "--out", "p.svg").out


def test_a_side_without_openings_is_told_and_the_other_drawn(run: Run) -> None:
    Path("board/logger-paste-bottom.gbr").write_bytes(EMPTY)
    said = run("draw", "board", "--out", "board.svg")
    assert said.status == 2
    assert "the layer holds nothing to cut; the rest was drawn" in said.err
    assert Path("board.svg").read_text(encoding="utf-8").count('class="sheet"') == 1


def test_what_the_reader_left_out_is_told(run: Run) -> None:
    # a flash of no size draws nothing
    Path("paste.gbr").write_bytes(layers.layer(*DRAWN, "%ADD21C,0*%", "D21*", "X1000000D03*"))
    said = run("draw", "paste.gbr", "--out", "paste.svg")
    assert said.status == 0
    assert ": warning[zero-size]: " in said.out


def test_slivers_that_are_not_drawn_are_told(run: Run) -> None:
    # 10 um wide: narrower than any opening
    sliver = [
        "G36*",
        "X2000000Y0D02*",
        "G01*",
        "X2010000D01*",
        "Y1000000D01*",
        "X2000000D01*",
        "Y0D01*",
        "G37*",
    ]
    Path("paste.gbr").write_bytes(layers.layer(*DRAWN, *sliver))
    said = run("draw", "paste.gbr", "--out", "paste.svg")
    assert "2 openings" in said.out
    assert "[sliver]" in said.out
    assert "3 openings" in run("draw", "paste.gbr", "--everything", "--out", "paste.svg").out


def test_help_tells_how(run: Run) -> None:
    said = run("draw", "--help")
    assert said.status == 0
    assert "pastecheck draw LAYER... --out FILE.svg" in said.out
    assert "--as-drawn" in said.out
