"""Smallest file for each construct; what it draws was worked out by hand and stands in its second line."""

import re
from pathlib import Path

import pytest

from pastecheck import gerber
from tests.gerber.layers import areas

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
