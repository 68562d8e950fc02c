"""Real paste layers from a dozen CAD systems: all are read, and as many objects are found as others find."""

import csv
from collections import Counter
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.drawing import Kind

REMARKS = {"legacy", "modal-operation", "no-end", "open-contours"}
"""What real paste layers give cause to: nothing else, or a file is understood in a new way."""


@pytest.fixture(scope="module")
def counted(shared: Path) -> list[dict[str, str]]:
    """One row a layer: how many objects of each kind gerbonara 1.5.0 found."""
    with (shared / "corpus" / "REFERENCE.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["library"] == "gerbonara" and not row["error"]]


def test_every_layer_has_as_many_objects_as_another_library_finds(
    counted: list[dict[str, str]], shared: Path
) -> None:
    assert len(counted) > 100
    for row in counted:
        name = f"{row['slug']}/{row['file']}"
        drawing = gerber.read((shared / "corpus" / name).read_bytes(), name)
        found = Counter(drawing.kind.tolist())
        expected = tuple(int(row[column]) for column in ("n_flash", "n_draw", "n_region"))
        assert (name, found[Kind.FLASH], found[Kind.STROKE], found[Kind.REGION]) == (name, *expected)
        assert {diagnostic.code for diagnostic in drawing.diagnostics} <= REMARKS, name
