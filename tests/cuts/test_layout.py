"""How things lie on the page and the sheet; nothing meets, and what has no room is told."""

import math
import re
from itertools import pairwise
from typing import Any

import pytest
import shapely

from pastecheck.cuts import CutFile
from pastecheck.measurements import Sheet
from tests.cuts import reading
from tests.cuts.laid import SLOTS, file_of, laid, layer, scaled, text_of

ALL: dict[str, Any] = {"coupon": True, "marks": True, "frame": True}
A4 = Sheet(210, 297, 10)
BOARD = ("%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X59000000Y39000000D03*")
"""Openings of 60 x 40 mm in all."""


def box_of(cuts: list[reading.Cut]) -> shapely.Polygon:
    lines = [shapely.LineString(line) for cut in cuts for line in cut.lines]
    return shapely.box(*shapely.total_bounds(lines))


def boxes(sheet: reading.Sheet) -> dict[str, shapely.Polygon]:
    return {name: box_of(sheet.named(name)) for name in ("openings", "frame", "coupon", "marks")}


def test_the_frame_lies_about_the_openings_and_the_coupon_outside_of_it_all_on_the_sheet() -> None:
    found = boxes(laid(layer(*BOARD, sheet=A4), **ALL))
    page = shapely.box(10, 10, 200, 287)
    low_x, low_y, high_x, high_y = found["openings"].bounds
    assert found["frame"].bounds == pytest.approx((low_x - 15, low_y - 15, high_x + 15, high_y + 15))
    assert shapely.distance(found["frame"], found["coupon"]) >= 4 - 1e-6
    assert all(page.covers(box) for box in found.values())


def test_marks_lie_between_openings_and_frame_one_in_each_corner_and_one_of_them_is_a_triangle() -> None:
    sheet = laid(layer(*BOARD), **ALL)
    openings, frame = box_of(sheet.openings), box_of(sheet.named("frame"))
    middle = openings.centroid
    quadrants = set()
    for mark in sheet.named("marks"):
        assert openings.distance(mark.polygon) > 1
        assert frame.boundary.distance(mark.polygon) > 1
        quadrants.add((mark.polygon.centroid.x > middle.x, mark.polygon.centroid.y > middle.y))
    assert len(quadrants) == 4
    areas = sorted(mark.area_mm2 for mark in sheet.named("marks"))
    assert areas == pytest.approx([math.pi, math.pi, math.pi, 4.0])  # discs of 2 mm, half of 4 x 2 mm


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_the_triangle_lies_alike_on_both_sides_and_has_no_mirror_image_of_its_own(side: str) -> None:
    marks = laid(layer(*BOARD), side, **ALL).named("marks")
    triangle = next(mark.polygon for mark in marks if mark.area_mm2 > 3.5)
    low_x, low_y, high_x, high_y = triangle.bounds
    # y points down on the page: the right angle is at the lower left, the long side lies below
    corners = {tuple(corner) for corner in shapely.get_coordinates(triangle).round(6).tolist()}
    expected = {(low_x, high_y), (high_x, high_y), (low_x, low_y)}
    assert {(round(x, 6), round(y, 6)) for x, y in expected} <= corners
    assert high_x - low_x == pytest.approx(2 * (high_y - low_y))


def test_the_coupon_has_five_slots_three_squares_a_large_one_and_a_line_of_100_mm() -> None:
    coupon = laid(layer(*BOARD, sheet=A4), **ALL).named("coupon")
    *closed, line = coupon
    areas = [round(one.area_mm2, 6) for one in closed]
    assert areas == [0.375] * 5 + [0.25] * 3 + [100.0]
    assert line.length_mm == pytest.approx(100.0)
    x = sorted(one.polygon.centroid.x for one in closed[:5])
    assert [b - a for a, b in pairwise(x)] == pytest.approx([0.5] * 4)


def test_on_a_narrow_sheet_the_coupon_stands_upright_beside_the_frame() -> None:
    # 90 x 110 mm with margins: with the coupon below it takes 100 x 127 mm, beside it 107 x 110 mm
    drawn = ("%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X59000000Y79000000D03*")
    sheet = laid(layer(*drawn, sheet=Sheet(108, 112)), **ALL)
    found = boxes(sheet)
    assert found["coupon"].bounds[0] > found["frame"].bounds[2] + 3.9
    *_, line = sheet.named("coupon")
    begin, end = line.lines[0]
    assert (begin[0], abs(end[1] - begin[1])) == pytest.approx((end[0], 100.0))


def test_what_lies_across_is_turned_to_fit_the_sheet() -> None:
    m = layer(*BOARD, sheet=Sheet(80, 100))
    file = file_of(m, frame=True)
    left, right = sorted(reading.read(text_of(file)).openings, key=lambda one: one.polygon.centroid.x)
    # counter-clockwise: what was at the right and up is now at the left and up
    assert right.polygon.centroid.y > left.polygon.centroid.y
    assert "turned by 90 degrees" in " ".join(file.notes)
    assert (file.width_mm, file.height_mm) == (80, 100)


def test_what_has_no_room_on_the_sheet_is_told() -> None:
    def told(width: float, height: float) -> CutFile:
        return file_of(layer(*BOARD, sheet=Sheet(width, height)), **ALL)

    assert told(95, 75).warnings == ("There is no room for the coupon.",)
    assert told(80, 60).warnings[0] == "The margin is 10.0 mm, not 15.0 mm: the sheet has no room for more."
    none = told(61, 41).warnings
    assert [one.rpartition(" the ")[2] for one in none[1:]] == ["coupon.", "registration marks.", "frame."]
    small = told(59, 41)
    assert (
        small.warnings[0] == "The sheet is too small for the openings: with margins it takes 90.0 x 70.0 mm."
    )
    assert small.width_mm >= 90
    assert all(one in small.notes for one in small.warnings)


def test_without_a_margin_there_is_no_frame_that_would_cut_openings_again() -> None:
    file = file_of(layer(*BOARD), margin_mm=0.0, frame=True, marks=True)
    assert "frame" not in " ".join(group.name for group in file.groups)
    assert file.warnings == (
        "There is no room for the registration marks.",
        "There is no room for the frame.",
    )


def test_a_page_that_is_scaled_up_still_fits_its_sheet() -> None:
    # 90.2 x 70 mm with margins on 90.3 x 75: by 1.002 it takes 90.38 mm, so the margin shrinks
    drawn = ("%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X59200000Y39000000D03*")
    m = layer(*drawn, sheet=Sheet(90.3, 75))
    assert not file_of(m, frame=True).warnings
    file = file_of(m, "top", scaled(1.002, 1.0), frame=True)
    assert file.warnings
    low_x, _, high_x, _ = box_of(reading.read(text_of(file)).named("frame")).bounds
    assert low_x >= 0
    assert high_x <= 90.3


def test_the_size_of_an_odd_sheet_is_told_to_the_nanometre() -> None:
    text = text_of(file_of(layer(*SLOTS, sheet=Sheet(210.123456, 297))))
    assert re.search(r'width="210.123456mm" height="297mm" viewBox="0 0 210.123456 297"', text)
