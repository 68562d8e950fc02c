"""
Real paste layers of 61 boards, held against two independent general-purpose readers.

The table REFERENCE.csv beside the boards gives what gerbonara 1.5.0 (Python) and gerber-plotter 4.2.8
(JavaScript), each with a union of what they drew, find in every file: extent, open area and number of parts.
The boards may not be copied into the project, so these tests are skipped where PASTECHECK_SHARED is not set.

The reference counts all that is drawn. So it is held twice: against all that is drawn, and against openings
and what was left out as no opening, taken together.
"""

import csv
import os
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from pastecheck import gerber
from pastecheck.drawing import Drawing, FloatArray
from pastecheck.errors import NoOpeningsError
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import Openings, cut_from
from pastecheck.source import DiagnosticLevel

LIBRARIES = ("gerbonara", "gerber-plotter")

SAME_AREA = 5e-4
"""Part of the area by which readers may differ: the reference flattens circles to chords."""

ANY_FOIL = Foil("any", "any", 0.1)

# Number of openings, where it is not that of the reference, and why.
EXPLAINED = {
    "cad13-esp32evb-a/ESP32-EVB_Rev_A-F.Paste.gbr": (
        300,
        "two rectangles share a side at y = -81.788 mm; floats keep them apart in the reference",
    ),
}

# What was left out as no opening, and how many; each was looked at in a picture of its layer.
TITLE_BLOCK_AND_LICENCE = {"thin-outline": 3, "lettering": 453}
TITLE_BLOCK = {"thin-outline": 1, "lettering": 46}
BOARD_OUTLINE = {"thin-outline": 1}
LEFT_OUT = {
    "cad01-bbai/PAST_BOT.art": BOARD_OUTLINE,
    "cad01-bbai/PAST_TOP.art": BOARD_OUTLINE,
    "cad01-minnow-v1/Minnow_spc.art": TITLE_BLOCK_AND_LICENCE,
    "cad01-minnow-v1/Minnow_sps.art": TITLE_BLOCK_AND_LICENCE,
    "cad01-minnowmax/MinnowMax_spc.art": TITLE_BLOCK,
    "cad01-minnowmax/MinnowMax_sps.art": TITLE_BLOCK,
    "cad01-paracluster/PASTE_BOT.art": BOARD_OUTLINE,
    "cad01-paracluster/PASTE_TOP.art": BOARD_OUTLINE,
    "cad05-sck21-data/SCK_DATA_BOARD_2.1.GTP": {"thin-outline": 5},  # the board, and four mounting holes
    "cad13-esp32evb-a/ESP32-EVB_Rev_A-F.Paste.gbr": BOARD_OUTLINE,
    "cad13-inkplate6-panel/Inkplate 6 SS_panel-F_Paste.gbr": {"thin-outline": 4},  # rings about marks
}
# Layers of which nothing else is left, and their parts: the board and its mounting holes, the board.
NOTHING_BUT_LINES = {
    "cad05-sck21-data/SCK_DATA_BOARD_2.1.GBP": 5,
    "cad13-esp32evb-a/ESP32-EVB_Rev_A-B.Paste.gbr": 1,
}


class Reference(NamedTuple):
    """What the two libraries found in a layer."""

    name: str
    area_mm2: tuple[float, ...]
    parts: tuple[int, ...]
    bounds_mm: tuple[float, ...]


def references() -> list[Reference]:
    """Every paste layer that both libraries read; none where there is no corpus."""
    folder = os.environ.get("PASTECHECK_SHARED")
    if not folder:
        return []
    rows: dict[str, list[dict[str, str]]] = {}
    with (Path(folder) / "corpus" / "REFERENCE.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["library"] in LIBRARIES:
                rows.setdefault(f"{row['slug']}/{row['file']}", []).append(row)
    return [reference(name, both) for name, both in rows.items()]


def reference(name: str, rows: list[dict[str, str]]) -> Reference:
    bounds = [float(rows[0][key] or "nan") for key in ("minx", "miny", "maxx", "maxy")]
    return Reference(
        name,
        tuple(float(row["union_area_mm2"]) for row in rows),
        tuple(int(row["n_union_polygons"]) for row in rows),
        tuple(bounds),
    )


LAYERS = references()
CUT = [layer for layer in LAYERS if any(layer.parts)]
EMPTY = [layer for layer in LAYERS if not any(layer.parts)]

needs_corpus = pytest.mark.skipif(not LAYERS, reason="PASTECHECK_SHARED is not set")
each_cut = pytest.mark.parametrize("layer", CUT, ids=lambda layer: layer.name)
each_empty = pytest.mark.parametrize("layer", EMPTY, ids=lambda layer: layer.name)


@cache
def drawing_of(name: str) -> Drawing:
    path = Path(os.environ["PASTECHECK_SHARED"]) / "corpus" / name
    return gerber.read(path.read_bytes(), path.name)


@cache
def all_drawn_in(name: str) -> Openings:
    return cut_from(drawing_of(name), everything=True)


@cache
def openings_of(name: str) -> Openings | None:
    """None where nothing is an opening."""
    try:
        return cut_from(drawing_of(name))
    except NoOpeningsError:
        return None


def areas_mm2(openings: Openings) -> FloatArray:
    return Measurements(openings, ANY_FOIL).area_mm2


@needs_corpus
def test_the_corpus_is_not_found_smaller_than_it_is() -> None:
    # 61 boards with 116 paste layers; 20 of them hold nothing (counted once in REFERENCE.csv by hand).
    assert len({layer.name.split("/")[0] for layer in LAYERS}) == 61
    assert (len(CUT), len(EMPTY)) == (96, 20)


@needs_corpus
def test_both_libraries_agree_on_every_layer() -> None:
    # So nothing below is held against a reference that is in doubt.
    for layer in LAYERS:
        assert len(layer.area_mm2) == len(LIBRARIES)
        assert layer.area_mm2[1] == pytest.approx(layer.area_mm2[0], rel=1e-6, abs=1e-6), layer.name
        assert layer.parts[1] == layer.parts[0], layer.name


@each_cut
def test_area_of_all_that_is_drawn_is_that_of_the_reference(layer: Reference) -> None:
    drawn = all_drawn_in(layer.name)
    assert not drawn.left_out
    assert areas_mm2(drawn).sum() == pytest.approx(layer.area_mm2[0], rel=SAME_AREA)


@each_cut
def test_extent_of_all_that_is_drawn_is_that_of_the_reference(layer: Reference) -> None:
    # 1 um: the reference's circles are polygons with 256 corners at most, printed to 10 nm.
    found = Measurements(all_drawn_in(layer.name), ANY_FOIL).bounds_mm
    assert found == pytest.approx(layer.bounds_mm, abs=1e-3)


@each_cut
def test_there_are_as_many_things_drawn_as_parts_in_the_reference(layer: Reference) -> None:
    expected, _reason = EXPLAINED.get(layer.name, (layer.parts[0], ""))
    assert len(all_drawn_in(layer.name)) == expected


@each_cut
def test_openings_and_what_is_none_are_all_that_is_drawn(layer: Reference) -> None:
    openings = openings_of(layer.name)
    if openings is None:
        assert NOTHING_BUT_LINES.get(layer.name) == layer.parts[0]
        return
    expected, _reason = EXPLAINED.get(layer.name, (layer.parts[0], ""))
    left_out = openings.left_out
    assert len(openings) + sum(one.count for one in left_out) == expected
    area_mm2 = areas_mm2(openings).sum() + sum(one.area_mm2 for one in left_out)
    assert area_mm2 == pytest.approx(layer.area_mm2[0], rel=SAME_AREA)
    assert area_mm2 == pytest.approx(areas_mm2(all_drawn_in(layer.name)).sum(), rel=1e-12)


@each_cut
def test_what_is_no_opening_was_looked_at_by_a_person(layer: Reference) -> None:
    openings = openings_of(layer.name)
    found = {one.code: one.count for one in openings.left_out} if openings else {}
    assert found == LEFT_OUT.get(layer.name, {})


@each_cut
def test_what_is_left_out_is_told(layer: Reference) -> None:
    openings = openings_of(layer.name)
    if openings is None:
        return
    for one in openings.left_out:
        (said,) = (said for said in openings.diagnostics if said.code == one.code)
        assert said.level is DiagnosticLevel.WARNING
        assert said.text.startswith(f"{one.count} ")
        assert f"{one.area_mm2:.4f} mm2" in said.text


@each_empty
def test_a_layer_with_no_area_in_the_reference_holds_nothing_to_cut(layer: Reference) -> None:
    with pytest.raises(NoOpeningsError):
        cut_from(drawing_of(layer.name), everything=True)
    assert openings_of(layer.name) is None


@needs_corpus
def test_the_abutting_rectangles_that_the_reference_keeps_apart_are_one_opening() -> None:
    ((name, (count, _reason)),) = EXPLAINED.items()
    (layer,) = [layer for layer in CUT if layer.name == name]
    assert count == layer.parts[0] - 1
    openings = all_drawn_in(name)
    # Lines 531 and 532 flash a rectangle of 1.778 x 1.016 mm at y = -82.296 and y = -81.280, which is 1.016
    # apart: together 1.778 x 2.032 mm.
    measured = Measurements(openings, ANY_FOIL)
    row = int((openings.line == 531).nonzero()[0][0])
    assert 532 not in openings.line
    assert measured.width_mm[row] == pytest.approx(1.778, abs=1e-9)
    assert measured.length_mm[row] == pytest.approx(2.032, abs=1e-9)
    assert areas_mm2(openings).sum() == pytest.approx(layer.area_mm2[0], rel=1e-6)
