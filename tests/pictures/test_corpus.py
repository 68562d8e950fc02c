"""Real boards, drawn: as much is open in the picture, read by another library, as was measured."""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.errors import PastecheckError
from pastecheck.openings import Openings, cut_from
from pastecheck.pictures import on_paper, picture_of
from pastecheck.pictures.outlines import LOOSE_MM
from tests.drawn import areas_mm2
from tests.pictures.read_back import named, read

LIBRARY_SLOW = 4_000
"""Openings that the other library takes seconds for; ours does not mind."""


def boards(shared: Path) -> Iterator[tuple[str, Openings]]:
    """Layers that read, each once."""
    with (shared / "corpus" / "REFERENCE.csv").open(encoding="utf-8", newline="") as stream:
        paths = dict.fromkeys(f"{row['slug']}/{row['file']}" for row in csv.DictReader(stream))
    for path in paths:
        content = (shared / "corpus" / path).read_bytes()
        try:
            yield path, cut_from(gerber.read(content, path))
        except PastecheckError:
            continue


@pytest.mark.slow
def test_real_boards_are_drawn_with_the_area_that_was_measured(shared: Path) -> None:
    count = 0
    for path, openings in boards(shared):
        if len(openings) > LIBRARY_SLOW:
            continue
        drawn_mm2 = sum(outline.area_mm2 for outline in named(read(picture_of(openings)), "outlines"))
        bound_mm2 = openings.shapes.perimeter_mm[openings.shape].sum() * LOOSE_MM
        assert abs(drawn_mm2 - areas_mm2(openings).sum()) <= bound_mm2, path
        count += 1
    assert count > 50


@pytest.mark.slow
def test_pictures_of_real_boards_are_small(shared: Path) -> None:
    """At most 175 bytes an opening, 350 kB for 2,000; half of the boards take 40 an opening."""
    for path, openings in boards(shared):
        size = len(on_paper([picture_of(openings)], path).text)
        assert size <= 5_000 + 175 * len(openings), path
