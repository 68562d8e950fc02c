"""What is cut is what was drawn: sizes, holes, arcs, mirror, scale, overcut; once each, and nothing else."""

import re

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from pastecheck.cuts import Job, cut_file
from pastecheck.measurements import Measurements, Sheet
from tests.cuts import reading
from tests.cuts.laid import PLAIN, SLOTS, file_of, laid, layer, scaled, text_of
from tests.drawn import FOIL, cut_text
from tests.strategies import Thing, layers
from tests.strategies import layer as written

RING = ("%ADD10C,1.6*%", "D10*", "X0Y0D03*", "%LPC*%", "%ADD11C,1.0*%", "D11*", "X0Y0D03*")
"""Discs of 1.6 mm less 1.0 mm."""
SHAPES = {
    # area by hand
    "rectangle": (["%ADD10R,0.5X0.8*%", "D10*", "X0Y0D03*"], 0.4),
    "circle": (["%ADD10C,0.4*%", "D10*", "X0Y0D03*"], np.pi * 0.04),
    "obround": (["%ADD10O,0.25X0.8*%", "D10*", "X0Y0D03*"], 0.25 * 0.55 + np.pi * 0.125**2),
    "stroke": (["%ADD10C,0.3*%", "D10*", "X0Y0D02*", "X300000Y400000D01*"], 0.5 * 0.3 + np.pi * 0.15**2),
    "ring": (list(RING), np.pi * (0.64 - 0.25)),
    "half disc": (
        ["G36*", "X0Y0D02*", "G75*", "G03*", "X-2000000Y0I-1000000J0D01*", "G01*", "X0Y0D01*", "G37*"],
        np.pi / 2,
    ),
    # two discs of 0.5 mm that overlap: each less a segment that turns by 2 acos(0.8)
    "two discs": (
        ["%ADD10C,1*%", "D10*", "X0Y0D03*", "X800000Y0D03*"],
        np.pi / 2 - (2 * np.arccos(0.8) - np.sin(2 * np.arccos(0.8))) / 4,
    ),
}


@pytest.mark.parametrize(("drawn", "area_mm2"), SHAPES.values(), ids=SHAPES)
def test_an_opening_is_cut_as_large_as_it_was_drawn(drawn: list[str], area_mm2: float) -> None:
    (found,) = laid(layer(*drawn)).openings
    # merged curves were flattened to within 0.1 um: so much of the boundary's length
    assert found.area_mm2 == pytest.approx(area_mm2, abs=1e-4 * found.length_mm)


@pytest.mark.parametrize("shape", ["circle", "obround", "stroke", "ring", "half disc", "two discs"])
def test_arcs_stay_arcs(shape: str) -> None:
    text = text_of(file_of(layer(*SHAPES[shape][0])))
    (data,) = re.findall(r' d="([^"]*)"', text)
    assert 2 <= data.count("a") <= 14  # flattened, there would be 50 lines and more
    assert data.count("l") <= 6


def test_a_disc_is_cut_in_four_quarters() -> None:
    text = text_of(file_of(layer("%ADD10C,0.4*%", "D10*", "X0Y0D03*")))
    # the page is 15 + 0.4 + 15 mm and 5 mm at each edge, in whole millimetres: 41; its middle is 20.5
    quarters = "".join(f"a0.2,0.2 0 0 0 {way}" for way in ("-0.2,-0.2", "-0.2,0.2", "0.2,0.2", "0.2,-0.2"))
    assert f'<path d="M20.7,20.5{quarters}z"/>' in text


@pytest.mark.parametrize("side", ["top", "bottom"])
@pytest.mark.parametrize("overcut_mm", [0.0, 0.05])
def test_each_outline_is_walked_counter_clockwise(side: str, overcut_mm: float) -> None:
    for drawn, _ in SHAPES.values():
        for found in laid(layer(*drawn), side, overcut_mm=overcut_mm).openings:
            # y points down on the page: what looks counter-clockwise has a negative area there
            assert all(not shapely.LinearRing(ring).is_ccw for ring in found.rings())


def test_the_film_in_a_hole_is_cut_before_what_holds_it() -> None:
    (found,) = laid(layer(*RING)).openings
    inner, outer = (shapely.Polygon(ring) for ring in found.rings())
    assert inner.area < outer.area
    assert "1 opening with film inside" in " ".join(file_of(layer(*RING)).notes)


def test_a_page_has_its_size_in_millimetres_and_a_unit_is_one() -> None:
    text = text_of(file_of(layer(*SLOTS)))
    # 3.25 + 2 x 15 + 2 x 5 and 1.5 + 2 x 15 + 2 x 5, in whole millimetres
    assert 'width="44mm" height="42mm" viewBox="0 0 44 42"' in text


def test_without_an_overcut_every_path_is_closed() -> None:
    data = re.findall(r' d="([^"]*)"', text_of(file_of(layer(*SLOTS), frame=True, marks=True)))
    assert len(data) == 7 + 4 + 1
    assert all(one.endswith("z") and one.count("M") == 1 for one in data)


def test_an_overcut_goes_on_along_the_edge_it_began_on_and_no_farther_than_said() -> None:
    for found in laid(layer(*SLOTS), overcut_mm=0.05).openings:
        assert found.overcut_mm == pytest.approx([0.05], abs=2e-6)
        assert found.length_mm == pytest.approx(2 * (0.25 + 1.5) + 0.05, abs=1e-5)
        assert found.polygon.boundary.distance(shapely.Point(found.lines[0][-1])) < 1e-6


@pytest.mark.parametrize(
    ("gap_um", "expected_um"),
    # less than a quarter of the web, in whole micrometres; and never more than is asked for
    [(250, 50), (204, 50), (201, 50), (200, 49), (150, 37), (100, 24), (8, 1), (4, 0), (2, 0)],
)
def test_an_overcut_is_less_than_a_quarter_of_the_web(gap_um: int, expected_um: int) -> None:
    x_nm = 500_000 + gap_um * 1000
    m = layer("%ADD10R,0.5X0.5*%", "D10*", "X0Y0D03*", f"X{x_nm}Y0D03*")
    for found in laid(m, overcut_mm=0.05).openings:
        assert found.overcut_mm == pytest.approx([expected_um / 1000], abs=2e-6)


def test_an_overcut_is_as_long_as_said_when_it_is_scaled() -> None:
    for found in laid(layer(*SLOTS), "top", scaled(1.05, 1.1), overcut_mm=0.05).openings:
        assert 0.045 < found.overcut_mm[0] <= 0.05 + 2e-6


def test_the_bottom_layer_is_mirrored_and_the_top_layer_and_an_unknown_one_are_not() -> None:
    drawn = ("%ADD10R,0.5X0.5*%", "D10*", "X0Y0D03*", "X3000000Y0D03*", "X3000000Y1000000D03*")
    # the lone one is left of the pair; mirrored it is right of it; y is up in the layer and down on the page
    for side, lone in (("top", "left"), ("unknown", "left"), ("bottom", "right")):
        x = sorted(found.polygon.centroid.x for found in laid(layer(*drawn), side).openings)
        assert (lone == "left") == (x[1] - x[0] > x[2] - x[1])
        y = sorted(round(found.polygon.centroid.y, 6) for found in laid(layer(*drawn), side).openings)
        assert y[1] - y[0] == pytest.approx(1)
        assert y[1] == y[2]


def test_the_sheet_says_which_side_it_is_and_which_side_goes_down() -> None:
    for side, said in (("bottom", "Bottom layer, mirrored"), ("top", "Top layer"), ("unknown", "not known")):
        file = file_of(layer(*SLOTS), side, marks=True)
        text = text_of(file)
        for note in file.notes:
            assert note in text
        assert said in " ".join(file.notes)
        assert "the one below goes down on the board" in " ".join(file.notes)
    assert "mirrored</title>" in text_of(file_of(layer(*SLOTS), "bottom"))


def test_cautions_are_those_of_the_cutter() -> None:
    def said(cutter: str) -> str:
        job = Job("a.gbr", "0" * 64, "a sheet", cutter)
        return " ".join(cut_file(layer(*SLOTS), "top", PLAIN, None, job).notes)

    assert "Blades are sharp" in said("drag knife")
    assert "Blades are sharp" not in said("Laser")
    assert "Never cut vinyl" in said("Laser")


def test_all_is_scaled_by_what_the_cutter_is_off_and_the_page_is_not() -> None:
    m = layer(*SLOTS, sheet=Sheet(210, 297))
    plain = laid(m, coupon=True, marks=True, frame=True)
    other = laid(m, "top", scaled(1.002, 0.995), coupon=True, marks=True, frame=True)
    assert (plain.width_mm, plain.height_mm) == (other.width_mm, other.height_mm)
    assert (plain.width_mm, plain.height_mm) == pytest.approx((210, 297))
    middle = np.array([plain.width_mm, plain.height_mm]) / 2
    for name, cuts in plain.groups.items():
        for one, two in zip(cuts, other.groups[name], strict=True):
            expected = middle + (one.lines[0] - middle) * np.array([1.002, 0.995])
            assert two.lines[0] == pytest.approx(expected, abs=1e-5)


def test_text_of_others_stays_text() -> None:
    hostile = '</title><script>alert("1")</script>\x1b[31m]]>&amp;\u202e'
    file = cut_file(layer(*SLOTS), "top", PLAIN, None, Job(hostile, "0" * 64, hostile))
    text = text_of(file)
    assert "<script" not in text
    assert not re.search("[\x00-\x09\x0b-\x1f\u202e]", text)
    assert reading.read(text).openings
    assert r"\x1b[31m]]&gt;&amp;amp;\u202e" in text


def test_nothing_is_in_the_file_but_what_is_cut() -> None:
    text = text_of(file_of(layer(*SLOTS), coupon=True, marks=True, frame=True))
    assert set(re.findall(r"<(\w+)", text)) == {"svg", "title", "desc", "g", "path"}
    attributes = set(re.findall(r"(\S+)=\"", text.split("<svg", 1)[1]))
    assert attributes == {
        *("xmlns", "version", "width", "height", "viewBox", "id", "fill", "stroke", "stroke-width", "d"),
    }


def test_equal_layers_give_equal_bytes() -> None:
    one, two = (text_of(file_of(layer(*SLOTS), overcut_mm=0.05, coupon=True)) for _ in range(2))
    assert one == two


def outlines_of(m: Measurements) -> list[shapely.Polygon]:
    """Openings where they are in the layer, in mm."""
    openings = m.openings
    columns = zip(
        openings.shapes.outline[openings.shape],
        (openings.x_nm / 1e6).tolist(),
        (openings.y_nm / 1e6).tolist(),
        strict=True,
    )
    return [affinity.translate(shape, x, y) for shape, x, y in columns]


@given(
    things=layers(),
    side=st.sampled_from(["top", "bottom"]),
    overcut_um=st.sampled_from([0, 50]),
    is_turned=st.booleans(),
)
def test_what_is_cut_is_what_was_drawn_and_no_line_is_cut_twice(
    things: list[Thing],
    side: str,
    overcut_um: int,
    is_turned: bool,  # noqa: FBT001 -- hypothesis gives it by name
) -> None:
    m = Measurements(cut_text(written(things)), FOIL)
    low_x, low_y, high_x, high_y = m.bounds_mm
    across, along = high_x - low_x + 31, high_y - low_y + 31
    if is_turned and abs(across - along) > 2:
        m.sheet = Sheet(along, across)
    else:
        is_turned = False
    file = file_of(m, side, overcut_mm=overcut_um / 1000, coupon=True, marks=True, frame=True)
    sheet = reading.read(text_of(file))
    found = [sheet.openings[row].polygon for row in np.argsort(file.order).tolist()]
    mirror = -1 if side == "bottom" else 1
    drawn = [affinity.scale(one, mirror, 1, origin=(0, 0)) for one in outlines_of(m)]
    drawn = [affinity.rotate(one, 90 if is_turned else 0, origin=(0, 0)) for one in drawn]
    drawn = [affinity.scale(one, 1, -1, origin=(0, 0)) for one in drawn]
    shift = np.array(shapely.total_bounds(found)[:2]) - np.array(shapely.total_bounds(drawn)[:2])
    for one, other in zip(found, drawn, strict=True):
        moved = affinity.translate(other, *shift)
        assert one.symmetric_difference(moved).area <= 3e-4 * other.length + 1e-6
    every = [
        shapely.LineString(ring) for cuts in sheet.groups.values() for cut in cuts for ring in rings(cut)
    ]
    # cut up where they meet, lines keep their length: what lies on a line would be there once only
    lines = shapely.multilinestrings(every)
    assert shapely.node(lines).length == pytest.approx(lines.length, abs=1e-5)


def rings(cut: reading.Cut) -> list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    """Lines of a cut; the line of a coupon does not come back."""
    if len(cut.subpaths[0]) == 1:
        return cut.lines
    return cut.rings()
