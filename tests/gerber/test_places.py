"""
Where the openings of each construct lie and how large each one is, worked out by hand.

Areas are written as they were worked out, in mm2: a circle of 1 mm has pi / 4, a quarter of an arc of radius
1 mm drawn with a pen of 0.2 mm has 0.2 x pi / 2 and a disc for its two ends. Places are centroids in um; None
where a centroid says no more than the area. The order is that of the table: by row, then by column.
"""

from math import asin, pi, sqrt
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.drawing import Drawing
from pastecheck.openings import Openings, cut_from
from tests.drawn import areas_mm2, codes_of, places_um

FLAT_MM2 = 1e-3
"""Curves are flattened to 0.1 um; no outline here is longer than 10 mm."""


def _corner_mm2(radius_mm: float, off_mm: float) -> float:
    """The part of a disc where x and y are both greater than `off_mm`: a sector less two triangles."""
    sector_mm2 = radius_mm**2 * (pi / 2 - 2 * asin(off_mm / radius_mm)) / 2
    return sector_mm2 - off_mm * (sqrt(radius_mm**2 - off_mm**2) - off_mm)


QUARTER = _corner_mm2(1, 0.25) - _corner_mm2(0.5, 0.25)
"""A piece of a thermal of 2 mm and 1 mm with gaps of 0.5 mm."""

OPENINGS: dict[str, list[tuple[float, tuple[int, int] | None]]] = {
    "arc-multi-quadrant": [(0.1 * pi + 0.01 * pi, None)],
    "arc-of-no-length": [(0.01 * pi, (1000, 0))],
    "arc-three-quarters": [(0.3 * pi + 0.01 * pi, None)],
    "attributes": [(pi / 4, (0, 0)), (pi / 4, (2000, 0)), (pi / 4, (4000, 0)), (pi / 4, (6000, 0))],
    "attributes-in-comments": [(pi / 4, (0, 0)), (pi / 4, (2000, 0))],
    "block-nested": [(pi / 4, (10000, 0)), (pi / 4, (10000, 2000))],
    "block-step-repeat": [(pi / 4, (0, 0)), (pi / 4, (2000, 0)), (pi / 4, (0, 5000)), (pi / 4, (2000, 5000))],
    "block-stroke-and-region": [(1, (-2500, 500)), (0.1 * pi + 0.01 * pi, None)],
    "carriage-returns": [(pi / 4, (0, 0))],
    "circle-rectangular-hole": [(pi - 0.5, (0, 0))],
    "incremental-format": [(pi / 4, (1000, 0)), (pi / 4, (3000, 0))],
    "macro-comment": [(pi / 4, (0, 0))],
    "macro-exposure-off-first": [(pi, (0, 0))],
    "macro-expression": [(2, (0, 0))],
    "macro-hole-is-transparent": [(0.25, (0, 0)), (pi * 3 / 4, (0, 0))],
    "macro-moire": [
        (2 * 0.6 * 0.05 - 0.05**2, (0, 0)),
        (pi * (0.8**2 - 0.7**2), (0, 0)),
        (pi * (1 - 0.9**2), (0, 0)),
    ],
    "macro-thermal": [(QUARTER, None), (QUARTER, None), (QUARTER, None), (QUARTER, None)],
    "macro-undefined-variable": [(pi / 4, (0, 0))],
    "mirror-before-rotate": [(2, (500, 1000))],
    "mirror-stroke": [(0.1 * pi + 0.01 * pi, None)],
    "mirror-x": [(2, (-1000, 500))],
    "mirror-xy": [(2, (-1000, -500))],
    "mirror-y": [(2, (1000, -500))],
    "modal-coordinates": [(pi / 4, (1000, 2000)), (pi / 4, (3000, 2000)), (pi / 4, (3000, 4000))],
    "modal-operation": [(0.4 + 0.01 * pi * 5 / 4 - 0.01, None)],
    "no-end": [(pi / 4, (0, 0))],
    "no-line-ends": [(pi / 4, (0, 0))],
    "obround-hole": [(1 + pi / 4 - pi / 16, (0, 0))],
    "obround-rectangular-hole": [(1 + pi / 4 - 0.125, (0, 0))],
    "obround-upright": [(1 + pi / 4, (0, 0))],
    "old-codes": [(pi * 1.27**2, (25400, 0))],
    "polygon-hole": [(2 - pi / 4, (0, 0))],
    "polygon-rectangular-hole": [(2 - 0.5, (0, 0))],
    "polygon-turned": [(2, (0, 0))],
    "rectangle": [(2, (0, 0))],
    "rectangle-hole": [(2 - pi / 16, (0, 0))],
    "region-contour-in-contour": [(9, (1500, 1500))],
    "region-contours-apart": [(1, (500, 500)), (1, (2500, 500))],
    "rotate": [(2, (-500, 1000))],
    "rotate-stroke": [(0.2 * 2, (500, 0))],
    "scale": [(8, (2000, 1000))],
    "scale-stroke": [(0.4 + 0.04 * pi, (500, 0))],
    "step-repeat-closed-by-one": [(pi / 4, (0, 0)), (pi / 4, (2000, 0)), (pi / 4, (0, 10000))],
    "step-repeat-closed-by-the-next": [
        (pi / 4, (0, 0)),
        (pi / 4, (2000, 0)),
        (pi / 4, (0, 10000)),
        (pi / 4, (0, 12000)),
    ],
    "step-repeat-inches": [(pi * 1.27**2, (0, 0)), (pi * 1.27**2, (25400, 0))],
    "step-repeat-open": [(pi / 4, (0, 0)), (pi / 4, (2000, 0))],
    "step-repeat-polarity": [(0.4, (-300, 0)), (0.4, (200, 0)), (0.4, (800, 0))],
    "stroke-rectangular": [(0.2 * (0.2 + 1 + 1), (500, 500))],
}
TOLD = {
    "arc-of-no-length": {"legacy"},
    "block-step-repeat": {"legacy"},
    "circle-rectangular-hole": {"legacy"},
    "incremental-format": {"legacy"},
    "modal-operation": {"modal-operation"},
    "no-end": {"no-end"},
    "obround-rectangular-hole": {"legacy"},
    "old-codes": {"legacy"},
    "polygon-rectangular-hole": {"legacy"},
}
"""What is said of a construct, where anything is."""


def _drawn(fixtures: Path, name: str) -> Drawing:
    return gerber.read((fixtures / "gerber" / f"{name}.gbr").read_bytes(), f"{name}.gbr")


@pytest.fixture(params=OPENINGS)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_each_opening_has_the_area_and_the_place_worked_out_by_hand(fixtures: Path, name: str) -> None:
    openings = cut_from(_drawn(fixtures, name))
    assert areas_mm2(openings).tolist() == pytest.approx([area for area, _ in OPENINGS[name]], abs=FLAT_MM2)
    expected = [place for _, place in OPENINGS[name]]
    found = [place and at for place, at in zip(expected, places_um(openings), strict=True)]
    assert found == expected


def test_nothing_is_said_of_a_construct_that_is_in_order(fixtures: Path, name: str) -> None:
    drawing = _drawn(fixtures, name)
    said = [*(diagnostic.code for diagnostic in drawing.diagnostics), *codes_of(cut_from(drawing))]
    assert set(said) - {"drawn-in-pieces"} == TOLD.get(name, set())  # what overlaps is no fault here


def test_escapes_in_labels_are_decoded_and_a_component_hides_a_pin(fixtures: Path) -> None:
    drawing = _drawn(fixtures, "attributes")
    assert drawing.function == "Paste,Top"
    assert _labels(cut_from(drawing)) == ["R\u00b51", "U2", "C3", ""]


def test_attributes_in_comments_count_where_the_comment_says_that_it_is_one(fixtures: Path) -> None:
    drawing = _drawn(fixtures, "attributes-in-comments")
    assert drawing.function == "Paste,Bot"
    assert _labels(cut_from(drawing)) == ["J1", ""]


def _labels(openings: Openings) -> list[str]:
    return [openings.labels[row] for row in openings.label.tolist()]
