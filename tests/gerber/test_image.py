"""Deprecated commands that change the whole image: read where all readers agree, refused elsewhere."""

from collections.abc import Sequence

import numpy as np
import pytest
from gerbonara import MM, GerberFile

from pastecheck.errors import InputError
from pastecheck.units import NM_PER_MM
from tests.gerber.layers import HEAD, areas, flashes, read

DISC = ("%ADD10C,1*%", "D10*")
AT = ("X3000000Y1000000D03*",)
"""A flash at (3, 1)."""


@pytest.mark.parametrize(
    ("commands", "place"),
    [
        (("%OFA0.5B-2*%",), (3.5, -1)),
        (("%OFB2*%",), (3, 3)),
        (("%MIA1B0*%",), (-3, 1)),
        (("%MIB1*%",), (3, -1)),
        (("%MIA1B1*%",), (-3, -1)),
        (("%ASAYBX*%",), (1, 3)),
        (("%IR90*%",), (-1, 3)),
        (("%IR180*%",), (-3, -1)),
        (("%IR270*%",), (1, -3)),
        (("%IR0*%", "%MIA0B0*%", "%ASAXBY*%", "%OFA0B0*%"), (3, 1)),
        (("%IR180*%", "%MIA1*%"), (3, -1)),  # either order: (-3, -1), then x the other way round
        (("%OFA1*%", "%OFA1.0B0*%"), (4, 1)),
    ],
)
def test_the_image_is_moved_mirrored_swapped_and_turned(
    commands: Sequence[str], place: tuple[float, float]
) -> None:
    drawing = read(*commands, *DISC, *AT)
    assert flashes(drawing) == [place]
    assert [diagnostic.code for diagnostic in drawing.diagnostics] == ["legacy"]


@pytest.mark.filterwarnings("ignore:.*Deprecated.*:DeprecationWarning")
@pytest.mark.parametrize("command", ["OFA0.5B-2", "MIA1B0", "MIA1B1", "IR90", "IR270"])
def test_a_general_purpose_library_puts_flashes_at_the_same_places(command: str) -> None:
    # gerbonara 1.5.0, which changes coordinates and leaves apertures as they are; it does not know AS
    lines = [f"%{command}*%", *DISC, *AT, "X0Y5000000D03*"]
    theirs = GerberFile.from_string("\n".join([*HEAD, *lines, "M02*"]))
    places = [(MM(one.x, one.unit), MM(one.y, one.unit)) for one in theirs.objects]
    assert np.array(flashes(read(*lines))) == pytest.approx(np.array(places))


def test_an_offset_is_in_the_unit_of_the_file() -> None:
    drawing = read("%OFA1*%", *DISC, "X0Y0D03*", head=("%FSLAX24Y24*%", "%MOIN*%"))
    assert flashes(drawing) == [(25.4, 0)]


def test_strokes_and_regions_are_mirrored_with_their_arcs() -> None:
    # a quarter of a ring about the origin from (2, 0) to (0, 2), and a half disc of radius 1 above (5, 0):
    # mirrored in x both keep their areas: pi/2 x 2 x 0.2 + pi x 0.01 with its two round ends, and pi/2
    stroke = ("G75*", "X2000000Y0D02*", "G03*", "X0Y2000000I-2000000J0D01*")
    region = ("G36*", "X6000000Y0D02*", "G03*", "X4000000Y0I-1000000J0D01*", "G01*", "X6000000D01*", "G37*")
    lines = ("%ADD10C,.2*%", "D10*", *stroke, *region)
    expected = [np.pi / 2 * 2 * 0.2 + np.pi * 0.01, np.pi / 2]
    mirrored = read("%MIA1*%", *lines)
    assert sorted(areas(mirrored)) == pytest.approx(sorted(expected), abs=1e-4)
    assert mirrored.strokes.turn.tolist() == [-1]
    assert (mirrored.x_nm / NM_PER_MM).tolist() == [-2, -6]


def test_a_rectangle_may_be_mirrored_but_not_turned_by_a_quarter() -> None:
    rectangle = ("%ADD10R,1X2*%", "D10*", *AT)
    assert flashes(read("%MIA1*%", *rectangle)) == [(-3, 1)]
    assert flashes(read("%IR180*%", *rectangle)) == [(-3, -1)]
    assert _refused("%IR90*%", *rectangle) == ("image-transform", 3)


def test_a_rounded_rectangle_of_a_macro_may_be_mirrored() -> None:
    discs = "*".join(f"1,1,.4,{x},{y}" for x in (-0.8, 0.8) for y in (-0.3, 0.3))
    macro = (f"%AMM*21,1,2,.6,0,0,0*21,1,1.6,1,0,0,0*{discs}*%", "%ADD10M*%", "D10*")
    assert flashes(read("%MIA1*%", *macro, *AT)) == [(-3, 1)]


@pytest.mark.parametrize(
    "macro",
    [
        "1,1,1,0.5,0",  # beside its origin
        "4,1,3,0,0,2,0,0,1,0,0,0",  # a triangle
        "21,1,2,1,0,0,0*1,0,.5,.5,0",  # a hole on one side
    ],
)
def test_an_aperture_that_would_look_another_is_refused(macro: str) -> None:
    assert _refused("%MIA1*%", f"%AMM*{macro}*%", "%ADD10M*%", "D10*", *AT) == ("image-transform", 3)


@pytest.mark.parametrize(
    ("commands", "line"),
    [
        (("%IR90*%", "%MIA1*%"), 4),
        (("%ASAYBX*%", "%MIA1*%"), 4),
        (("%OFA1*%", "%IR90*%"), 4),
        (("%SFA2B2*%",), 3),
    ],
)
def test_what_readers_differ_about_is_refused(commands: Sequence[str], line: int) -> None:
    assert _refused(*commands, *DISC, *AT) == ("image-transform", line)


def test_repeats_in_a_mirrored_image_are_refused() -> None:
    assert _refused("%MIA1*%", *DISC, "%SRX2Y1I3J0*%", *AT, "%SR*%") == ("image-transform", 3)
    assert flashes(read("%OFA1*%", *DISC, "%SRX2Y1I3J0*%", *AT, "%SR*%")) == [(4, 1), (7, 1)]


def test_such_a_command_behind_what_is_drawn_is_refused() -> None:
    assert _refused(*DISC, *AT, "%OFA1*%") == ("image-transform", 6)


def test_such_a_command_given_twice_with_other_values_is_refused() -> None:
    assert _refused("%OFA1*%", "%OFA2*%", *DISC, *AT) == ("contradiction", 4)


def test_an_image_without_objects_is_read() -> None:
    assert len(read("%MIA1*%", *DISC)) == 0


def test_an_image_moved_beyond_ten_metres_is_refused() -> None:
    assert _refused("%OFA99999*%", *DISC, *AT)[0] == "too-large"


def _refused(*lines: str) -> tuple[str, int]:
    """Code and line; the first of the lines is line 3."""
    with pytest.raises(InputError) as caught:
        read(*lines)
    return caught.value.code, caught.value.span.line
