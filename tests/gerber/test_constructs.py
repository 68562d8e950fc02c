"""Smallest file for each construct; what it draws was worked out by hand and stands in its second line."""

import math
import re
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.errors import GerberUnsupportedError
from tests.gerber.layers import areas, read

FIXTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures" / "gerber").glob("*.gbr"))
CURVES = 3e-5
"""Where curves are flattened, areas of whole arcs are exact; where outlines cross, they are not."""


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_a_construct_draws_what_its_fixture_says(path: Path) -> None:
    content = path.read_bytes()
    expected = re.search(rb"expected: (\d+) objects, ([\d.]+) mm2", content)
    assert expected
    drawing = gerber.read(content, path.name)
    assert len(drawing) == int(expected[1])
    assert areas(drawing).sum() == pytest.approx(float(expected[2]), rel=CURVES)


def test_labels_come_from_component_or_pin_in_commands_and_comments() -> None:
    path = next(path for path in FIXTURES if path.stem == "labels")
    drawing = gerber.read(path.read_bytes(), path.name)
    assert [drawing.labels[row] for row in drawing.label.tolist()] == ["U1", "R3", "C7", ""]


def test_deprecated_constructs_of_a_file_are_told_together() -> None:
    path = next(path for path in FIXTURES if path.stem == "old-header")
    (said,) = gerber.read(path.read_bytes(), path.name).diagnostics
    assert said.code == "legacy"
    assert said.text == (
        "IN, IP, AS, MI, OF, SF, IR, LN and G54 are deprecated; they were read as they were meant"
    )


def test_a_stroke_of_no_length_covers_what_a_flash_would_whatever_its_aperture() -> None:
    # a ring of 1 with a hole of 0.5, beside a real stroke of a disc 0.2 across: 1 x 0.2 and a disc
    drawing = read(
        "%ADD10C,1X.5*%", "D10*", "X5000000Y0D02*", "D01*", "%ADD11C,.2*%", "D11*", "X0D02*", "X1000000D01*"
    )
    assert sorted(areas(drawing)) == pytest.approx([0.2 + math.pi * 0.01, math.pi * (0.25 - 0.0625)])
    assert [one.code for one in drawing.diagnostics] == ["stroke-of-no-length"]


def test_a_stroke_of_no_length_with_a_block_is_refused() -> None:
    block = ("%ADD10C,1*%", "%ABD11*%", "D10*", "X0Y0D03*", "%AB*%")
    with pytest.raises(GerberUnsupportedError, match="a stroke of no length is drawn with block D11"):
        read(*block, "D11*", "X0Y0D02*", "D01*")
