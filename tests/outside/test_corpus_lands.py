"""On real boards openings lie on the lands that copper and mask give, none is shifted, and sides are told."""

import csv
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from pastecheck import gerber
from pastecheck.board_files import Option, beside, board_files_of, known_of
from pastecheck.errors import NoOpeningsError, UsageError
from pastecheck.layers import layers_of
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import cut_from

FOIL = Foil("film", "polyester", 0.075)
OPTIONS = {"copper": Option.LAND, "mask": Option.MASK, "outline": Option.OUTLINE}

Named = dict[Option, list[str]]


def boards(shared: Path) -> dict[str, tuple[list[str], Named]]:
    """Paste layers and board files of each board that has copper and mask of the same sides."""
    found: dict[str, tuple[list[str], Named]] = defaultdict(lambda: ([], defaultdict(list)))
    with (shared / "corpus" / "MANIFEST.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            path = str(shared / "corpus" / row["slug"] / row["file"])
            if row["layer_kind"] in OPTIONS:
                found[row["slug"]][1][OPTIONS[row["layer_kind"]]].append(path)
            else:
                found[row["slug"]][0].append(path)
    return {
        slug: board
        for slug, board in found.items()
        if len(board[1][Option.LAND]) == len(board[1][Option.MASK]) == len(board[0]) > 0
    }


@pytest.mark.slow
def test_openings_of_real_boards_lie_on_their_lands(shared: Path) -> None:
    seen = 0
    for slug, (paste, named) in boards(shared).items():
        layers = layers_of(paste)
        try:
            matched = beside(layers, board_files_of(named))
        except UsageError:  # one board's copper does not tell of which side it is
            continue
        for layer, files in zip(layers, matched, strict=True):
            try:
                openings = cut_from(gerber.read(layer.content, layer.path))
            except NoOpeningsError:
                continue
            m = Measurements(openings, FOIL, board=known_of(files, openings).board)
            on_lands = m.on_lands
            assert np.mean(on_lands.land >= 0) > 0.99, slug
            assert on_lands.shift is None or on_lands.shift.length_mm < 0.005, slug
            assert (on_lands.coverage.value > 0).all()
            assert np.nanmax(on_lands.overhang.reach_mm) < 1.0, slug
            if m.board.profile is not None:
                assert (m.beyond_board.reach_mm < 0.3).all(), slug
            seen += 1
    assert seen >= 20
