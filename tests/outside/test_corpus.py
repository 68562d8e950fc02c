"""
Real paste layers of 61 boards, held against two independent general-purpose readers.

The table REFERENCE.csv beside the boards gives what gerbonara 1.5.0 (Python) and gerber-plotter 4.2.8
(JavaScript), each with a union of what they drew, find in every file: extent, open area and number of parts.
The boards may not be copied into the project, so these tests are skipped where PASTECHECK_SHARED is not set.
"""

import csv
import os
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from pastecheck import gerber
from pastecheck.drawing import FloatArray
from pastecheck.errors import NoOpeningsError
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import Openings, cut_from

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


def read(name: str) -> Openings:
    path = Path(os.environ["PASTECHECK_SHARED"]) / "corpus" / name
    return cut_from(gerber.read(path.read_bytes(), path.name))


openings_of = cache(read)


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
def test_open_area_is_that_of_the_reference(layer: Reference) -> None:
    assert areas_mm2(openings_of(layer.name)).sum() == pytest.approx(layer.area_mm2[0], rel=SAME_AREA)


@each_cut
def test_extent_is_that_of_the_reference(layer: Reference) -> None:
    # 1 um: the reference's circles are polygons with 256 corners at most, printed to 10 nm.
    found = Measurements(openings_of(layer.name), ANY_FOIL).bounds_mm
    assert found == pytest.approx(layer.bounds_mm, abs=1e-3)


@each_cut
def test_there_are_as_many_openings_as_parts_in_the_reference(layer: Reference) -> None:
    expected, _reason = EXPLAINED.get(layer.name, (layer.parts[0], ""))
    assert len(openings_of(layer.name)) == expected


@each_cut
def test_no_layer_of_the_corpus_loses_a_sliver(layer: Reference) -> None:
    # Where the numbers of openings and parts are equal, nothing with an area may have been left out.
    assert "sliver" not in {said.code for said in openings_of(layer.name).diagnostics}


@each_empty
def test_a_layer_with_no_area_in_the_reference_holds_nothing_to_cut(layer: Reference) -> None:
    with pytest.raises(NoOpeningsError):
        read(layer.name)


@needs_corpus
def test_the_abutting_rectangles_that_the_reference_keeps_apart_are_one_opening() -> None:
    ((name, (count, _reason)),) = EXPLAINED.items()
    (layer,) = [layer for layer in CUT if layer.name == name]
    assert count == layer.parts[0] - 1
    openings = openings_of(name)
    # Lines 531 and 532 flash a rectangle of 1.778 x 1.016 mm at y = -82.296 and y = -81.280, which is 1.016
    # apart: together 1.778 x 2.032 mm.
    measured = Measurements(openings, ANY_FOIL)
    row = int((openings.line == 531).nonzero()[0][0])
    assert 532 not in openings.line
    assert measured.width_mm[row] == pytest.approx(1.778, abs=1e-9)
    assert measured.length_mm[row] == pytest.approx(2.032, abs=1e-9)
    assert areas_mm2(openings).sum() == pytest.approx(layer.area_mm2[0], rel=1e-6)
