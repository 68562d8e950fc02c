"""What was found is marked where it is, by how bad it is."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pastecheck.pictures import picture as module
from pastecheck.pictures import picture_of
from pastecheck.report import Level, Status
from tests.drawn import board, cut
from tests.pictures.judged import Judged, judged
from tests.pictures.read_back import Drawn, filled, named, read

SLOTS = "%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*\nX450000Y0D03*"
"""Two slots 0.15 mm apart: less than the 0.167 mm of an error."""
WARNED = "%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*\nX500000Y0D03*"
"""Two slots 0.20 mm apart: between 0.167 and 0.208 mm, a warning."""
FINE = "%ADD10R,1X1*%\nD10*\nX0Y0D03*\nX3000000Y0D03*"


def drawn(layer: Judged) -> list[Drawn]:
    return read(layer.picture())


def test_an_opening_that_fails_is_drawn_apart_and_says_its_row() -> None:
    paths = drawn(judged(SLOTS, "X5000000Y0D03*"))
    assert sorted(path.opening for path in named(paths, "outlines")) == [0, 1, 2]
    assert {path.names for path in named(paths, "outlines") if path.opening} == {("outlines", "error")}


def test_where_nothing_was_found_nothing_is_marked() -> None:
    layer = judged(FINE)
    assert {path.names for path in drawn(layer)} == {("outlines",)}
    assert layer.picture().places == {"settled": 0, "warning": 0, "error": 0}


def test_a_layer_that_was_not_judged_has_no_marks() -> None:
    picture = picture_of(cut(SLOTS))
    assert {path.names for path in read(picture)} == {("outlines",)}


def test_a_web_has_a_mark_in_its_middle() -> None:
    paths = drawn(judged(SLOTS))
    (halo,) = named(paths, "halo")
    assert halo.names == ("halo", "error")
    # the slots end at 0.15 and begin at 0.30; dots are no longer than 1 um
    assert np.abs(np.vstack(list(halo.rings())) - (0.225, 0)).max() < 0.001


def test_a_web_is_drawn_as_the_line_that_was_measured() -> None:
    (line,) = named(drawn(judged(SLOTS)), "measured")
    assert line.names == ("measured", "error")
    assert np.allclose(np.vstack(list(line.rings())), [(0.15, 0), (0.3, 0)], atol=1e-4)


def test_webs_of_a_warning_are_drawn_as_such() -> None:
    (line,) = named(drawn(judged(WARNED)), "measured")
    assert line.names == ("measured", "warning")


def test_errors_are_told_from_warnings_by_form() -> None:
    """A diamond is the square end of a stroke that runs askew, a disc the round end of one."""
    (error,), (warning,) = (named(drawn(judged(layer)), "halo") for layer in (SLOTS, WARNED))
    assert (error.names[1], warning.names[1]) == ("error", "warning")
    ways = [np.diff(np.vstack(list(path.rings())), axis=0)[0] for path in (error, warning)]
    assert np.allclose(np.abs(ways[0]), 0.0009)  # both ways alike: 45 degrees
    assert ways[1][1] == 0


def test_a_neck_is_drawn_within_its_opening() -> None:
    # an hourglass of two squares of 1 mm that hang together by 0.15 mm, 0.4 mm long
    hourglass = (
        "G36*\nX0Y0D02*\nG01*\nX1000000D01*\nY425000D01*\nX1400000D01*\nY0D01*\nX2400000D01*\nY1000000D01*\n"
        "X1400000D01*\nY575000D01*\nX1000000D01*\nY1000000D01*\nX0D01*\nY0D01*\nG37*"
    )
    lines = named(drawn(judged(hourglass)), "inside")
    assert [line.names for line in lines] == [("measured", "error", "inside")]
    ends = np.vstack(list(lines[0].rings()))
    assert np.allclose(np.sort(ends[:, 1]), [0.425, 0.575], atol=1e-4)


def test_a_tongue_is_drawn_across_the_film() -> None:
    # a U: the tongue between its arms is 0.15 mm wide, from 0.5 to 0.65, and 0.9 mm long
    arms = (
        "G36*\nX0Y0D02*\nG01*\nX1150000D01*\nY1200000D01*\nX650000D01*\nY300000D01*\nX500000D01*\nY1200000D01*\n"
        "X0D01*\nY0D01*\nG37*"
    )
    lines = named(drawn(judged(arms)), "measured")
    assert {line.names for line in lines} == {("measured", "error")}
    for line in lines:
        assert np.allclose(np.sort(np.vstack(list(line.rings()))[:, 0])[[0, -1]], [0.5, 0.65], atol=1e-4)


def test_of_a_web_that_is_as_narrow_in_two_places_the_line_is_in_one_of_them() -> None:
    # a bar, and a U whose arms end 0.15 mm above it: the middle between them is where nothing is narrow
    bar = "%ADD10R,4X1*%\nD10*\nX2000000Y-650000D03*"
    legs = (
        "G36*\nX0Y0D02*\nG01*\nX1000000D01*\nY1000000D01*\nX3000000D01*\nY0D01*\nX4000000D01*\n"
        "Y2000000D01*\nX0D01*\nY0D01*\nG37*"
    )
    layer = judged(bar, legs)
    (line,) = named(drawn(layer), "measured")
    (ends,) = line.rings()
    assert np.allclose(np.sort(ends[:, 1]), [-0.15, 0.0], atol=1e-4)
    assert 'href="#top-0.150"' in layer.picture().body


def test_each_line_has_its_length_beside_it() -> None:
    body = judged(SLOTS).picture().body
    assert body.count("<use") == 1
    assert 'href="#top-0.150"' in body
    # in the middle of the web, turned to run along it
    assert "translate(0.225 -0.000)rotate(-90)" in body or "translate(0.225 0.000)rotate(-90)" in body


def test_figures_are_never_upside_down() -> None:
    for way in ("X450000Y0", "X-450000Y0"):
        body = judged(f"%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*\n{way}D03*").picture().body
        assert "rotate(-90)" in body
    for way in ("Y450000", "Y-450000"):
        body = judged(f"%ADD10R,1.5X0.3*%\nD10*\nX0Y0D03*\n{way}D03*").picture().body
        assert "rotate(0)" in body or "rotate(-0)" in body


def test_what_is_known_counts_as_settled() -> None:
    layer = judged(SLOTS)
    outcomes = [
        replace(one, findings=tuple(found._replace(status=Status.KNOWN) for found in one.findings))
        for one in layer.report.outcomes
    ]
    picture = layer._replace(report=replace(layer.report, outcomes=tuple(outcomes))).picture()
    assert picture.places["error"] == 0
    assert picture.places["settled"] > 0
    paths = read(picture)
    assert {path.names for path in named(paths, "outlines")} == {("outlines", "settled")}
    assert {path.names for path in named(paths, "measured")} == {("measured", "settled")}


def test_findings_of_the_layer_as_a_whole_are_told_and_not_marked() -> None:
    layer = judged(FINE)
    of_layer = judged(SLOTS).report.outcomes
    found = next(found for one in of_layer for found in one.findings)
    whole = found._replace(check="sheet-fit", opening=None, other=None)
    outcomes = (replace(layer.report.outcomes[0], findings=(whole,)),)
    picture = layer._replace(report=replace(layer.report, outcomes=outcomes)).picture()
    assert sum(picture.places.values()) == 0
    assert picture.left_out == ("1 finding is of the layer as a whole",)


def test_a_bare_land_is_marked_though_it_has_no_opening() -> None:
    layer = judged(FINE)
    found = next(found for one in judged(SLOTS).report.outcomes for found in one.findings)
    bare = found._replace(check="missing-opening", opening=None, other=None, x_mm=1.5, y_mm=0.0)
    outcomes = (replace(layer.report.outcomes[0], findings=(bare,)),)
    picture = layer._replace(report=replace(layer.report, outcomes=outcomes)).picture()
    assert picture.places["error"] == 1
    assert len(named(read(picture), "dot")) == 1


def test_no_mark_lies_on_a_small_opening() -> None:
    # from the middle to the edge 0.05 mm: a mark within it would hide it
    assert not named(drawn(judged("%ADD10C,0.1*%\nD10*\nX0Y0D03*")), "within")


def test_a_large_opening_that_hides_its_mark_has_one_on_it() -> None:
    # 8 mm wide: paste is scooped out; the mark is as large as marks within openings get, 1.5 mm in radius
    paths = drawn(judged("%ADD10R,8X8*%\nD10*\nX0Y0D03*"))
    marks = named(paths, "within")
    assert [path.names for path in marks] == [
        ("within", "rim", "warning"),
        ("within", "ring", "warning"),
        ("within", "middle", "warning"),
    ]
    assert paths[-3:] == marks  # on top of all else
    # 1.5 mm, and 0.84 and 0.58 of it
    areas = [path.area_mm2 for path in marks]
    assert areas == pytest.approx([np.pi * (1.5 * share) ** 2 for share in (1, 0.84, 0.58)], rel=1e-3)


def test_a_mark_on_an_opening_stays_clear_of_its_edge() -> None:
    # a T of 6 x 1 mm and 4 x 6 mm: the mark lies in the stem, and is not as wide
    wide = "G36*\nX-3000000Y3000000D02*\nG01*\nX3000000D01*\nY2000000D01*\nX2000000D01*\nY-4000000D01*\n"
    stem = "X-2000000D01*\nY2000000D01*\nX-3000000D01*\nY3000000D01*\nG37*"
    layer = judged(wide, stem)
    paths = drawn(layer)
    opening, (mark,) = filled(named(paths, "outlines")), named(paths, "rim")
    assert shapely.contains(opening, filled([mark]))
    assert shapely.distance(filled([mark]), opening.boundary) > 0.1


def test_an_error_on_a_large_opening_is_a_diamond() -> None:
    layer = judged("%ADD10R,8X8*%\nD10*\nX0Y0D03*")
    found = next(found for one in layer.report.outcomes for found in one.findings)
    error = found._replace(level=Level.ERROR)
    outcomes = (replace(layer.report.outcomes[0], findings=(error,)),)
    picture = layer._replace(report=replace(layer.report, outcomes=outcomes)).picture()
    rim, *_ = named(read(picture), "within")
    assert rim.names == ("within", "rim", "error")
    # corners 1.5 mm from the middle
    assert rim.area_mm2 == pytest.approx(2 * 1.5**2, rel=1e-3)
    assert shapely.bounds(filled([rim])) == pytest.approx((-1.5, -1.5, 1.5, 1.5), abs=1e-3)


def test_marks_of_a_large_layer_lie_in_tiles() -> None:
    """What is not seen can then be passed over: drawing anew takes a tenth of a second instead of a half."""
    # 1000 pairs in rows and columns 5 mm apart: 2000 openings, 1000 webs
    pairs = [
        f"X{5000000 * column + shift}Y{5000000 * row}D03*"
        for row in range(25)
        for column in range(40)
        for shift in (0, 450000)
    ]
    paths = drawn(judged("%ADD10R,0.3X1.5*%", "D10*", *pairs))
    for name in ("halo", "measured"):
        tiles = named(paths, name)
        assert 2 <= len(tiles) <= 12
        assert sum(len(list(path.rings())) for path in tiles) == 1000


def test_of_very_many_failed_openings_those_alike_are_gathered(monkeypatch: pytest.MonkeyPatch) -> None:
    layer = judged(SLOTS)
    one_by_one = filled(named(drawn(layer), "outlines"))
    monkeypatch.setattr(module, "ONE_BY_ONE", 1)
    (gathered,) = named(drawn(layer), "outlines")
    assert (gathered.names, gathered.opening) == (("outlines", "error"), 0)
    assert shapely.equals(gathered.polygons(), one_by_one)


def test_lands_and_outline_lie_below_the_openings() -> None:
    openings = cut(FINE)
    known = board(
        openings,
        land="%ADD10R,1.2X1.2*%\nD10*\nX0Y0D03*\nX3000000Y0D03*",
        mask="%ADD10R,1.3X1.3*%\nD10*\nX0Y0D03*\nX3000000Y0D03*",
        outline="%ADD10C,0.1*%\nD10*\nX-2000000Y-2000000D02*\nG01*\nX5000000D01*\nY2000000D01*\n"
        "X-2000000D01*\nY-2000000D01*",
    )
    picture = picture_of(openings, known)
    paths = read(picture)
    assert [path.names[0] for path in paths] == ["board", "lands", "outlines"]
    # two lands of 1.2 mm x 1.2 mm; the board from -2 to 5 and from -2 to 2 mm, y downward
    assert named(paths, "lands")[0].area_mm2 == pytest.approx(2 * 1.44, abs=1e-3)
    assert picture.bounds_mm == pytest.approx((-2, -2, 5, 2))


def test_a_mirrored_picture_is_the_picture_seen_from_behind() -> None:
    layer = judged(SLOTS, "X5000000Y1000000D03*")
    here, behind = (
        filled(named(read(layer.picture(is_mirrored=is_mirrored)), "outlines"))
        for is_mirrored in (False, True)
    )
    low_x, low_y, high_x, high_y = here.bounds
    assert behind.bounds == pytest.approx((-high_x, low_y, -low_x, high_y))
    assert behind.area == pytest.approx(here.area)
    assert layer.picture(is_mirrored=True).bounds_mm == pytest.approx((-high_x, -high_y, -low_x, -low_y))


def test_no_figure_lies_on_another_and_it_is_told_where_there_was_no_room() -> None:
    # balls of 0.25 mm 0.35 mm apart: webs of 0.10 mm, whose figures are longer than from one ball to the next
    balls = [f"X{350000 * x}Y{350000 * y}D03*" for x in range(4) for y in range(4)]
    picture = judged("%ADD10C,0.25*%\nD10*", *balls).picture()
    webs = len(picture.lines.begin_mm)
    # 3 in each of 4 rows and 4 columns
    assert webs == 24
    figures = picture.body.count("<use")
    assert 0 < figures < webs
    assert picture.left_out == ("figures beside some of the lines only",)
    alone = judged(SLOTS, "X5000000Y0D03*").picture()
    assert (alone.body.count("<use"), alone.left_out) == (1, ())
