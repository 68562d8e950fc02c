"""`trim --outlines`: the cutter follows the corrected layer, not the one that was drawn."""

from pathlib import Path

import pytest

from tests.cli.layers import GOOD, layer
from tests.cuts.reading import read
from tests.trim.conftest import FIXTURES, Trim

BOARD = FIXTURES / "boards" / "greenhouse-logger-a"
RULES = ("--rules", "polyester-75-knife")
BOTH = ("--out", "out.gbr", "--outlines", "cut.svg")


def test_outlines_are_those_of_the_corrected_layer(trim: Trim) -> None:
    said = trim(str(BOARD / "greenhouse-logger-paste-top.gbr"), *RULES, *BOTH)
    cut = read(Path("cut.svg").read_text(encoding="utf-8"))
    assert len(cut.openings) == said.document["openings"]["after"]
    thickness_mm = 0.075
    area_mm2 = sum(one.area_mm2 for one in cut.openings)
    assert area_mm2 * thickness_mm == pytest.approx(said.document["volume_mm3"]["after"], rel=1e-5)
    assert said.document["volume_mm3"]["after"] < said.document["volume_mm3"]["before"]
    assert "Outlines for the cutter, written to cut.svg" in said.out


def test_bottom_layers_are_mirrored_and_it_is_said(trim: Trim) -> None:
    # one opening of 0.6 x 1.2 and one of 0.2 x 1.5, 10 mm to its right: mirrored, to its left
    Path("paste.gbr").write_bytes(layer("D10*", "X0Y0D03*", "D11*", "X10000000Y0D03*", function="Paste,Bot"))
    said = trim("paste.gbr", *RULES, *BOTH)
    small, large = read(Path("cut.svg").read_text(encoding="utf-8")).openings
    assert small.polygon.centroid.x - large.polygon.centroid.x == pytest.approx(-10, abs=1e-6)
    assert "Bottom layer, mirrored" in said.out


def test_who_does_not_know_the_side_is_told_a_name_by_which_it_is_known(trim: Trim) -> None:
    content = layer("D10*", "X0Y0D03*", function="")
    for name, says in (
        ("layer.gbr", "such as paste-bottom.gbr"),
        ("paste-bottom.gbr", "Bottom layer, mirrored"),
    ):
        Path(name).write_bytes(content)
        said = trim(name, *RULES, *BOTH, "--force", "--as-paste")
        assert said.status == 0
        assert says in " ".join(said.out.split())


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (("--outlines", "cut.svg", "--dry-run"), "--dry-run writes no outlines (leave out one of the two)"),
        (("--out", "out.gbr", "--outlines", "-"), "--outlines names no file (name a file: only reports go"),
        (("--out", "out.gbr", "--outlines", "there.svg"), "there is a file 'there.svg' already (name anoth"),
        (("--out", "out.gbr", "--outlines", "out.gbr"), "two reports would go to 'out.gbr' (give each a f"),
        (("--out", "out.gbr", "--outlines", "paste.gbr"), "'paste.gbr' is read, and would be overwritten"),
        (("--out", "out.gbr", "--outlines", "no/cut.svg"), "has no folder to stand in"),
    ],
)
def test_outlines_go_nowhere_else(trim: Trim, arguments: tuple[str, ...], complaint: str) -> None:
    Path("paste.gbr").write_bytes(GOOD)
    Path("there.svg").write_text("mine", encoding="utf-8")
    said = trim("paste.gbr", *RULES, *arguments)
    assert said.status == 2
    assert complaint in said.err
    assert Path("there.svg").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in Path().iterdir()) == ["paste.gbr", "there.svg"]


def test_a_name_of_a_file_moves_no_terminal(trim: Trim) -> None:
    Path("paste\x1b[31m.gbr").write_bytes(GOOD)
    said = trim("paste\x1b[31m.gbr", *RULES, *BOTH)
    assert said.status == 0
    assert "\x1b" not in said.out + said.err + Path("cut.svg").read_text(encoding="utf-8")
