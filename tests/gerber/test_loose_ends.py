"""What stands before, behind and between the statements of old files, and points that are not defined."""

import math

import pytest

from pastecheck import gerber
from pastecheck.drawing import Drawing
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.limits import Limits
from pastecheck.openings import cut_from

HEAD = "%FSLAX46Y46*%%MOMM*%"
ONE = HEAD + "%ADD10R,1X2*%D10*X0Y0D03*"


def read(text: str | bytes, limits: Limits | None = None) -> Drawing:
    data = text.encode() if isinstance(text, str) else text
    return gerber.read(data, "layer.gbr", limits or Limits())


def codes(drawing: Drawing) -> list[str]:
    return [said.code for said in drawing.diagnostics]


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(ONE.encode() + b"M02*\r\n\x1a" + b"\0" * 100, id="behind, as old disks do"),
        pytest.param(b"\0" * 64 + ONE.encode() + b"M02*\n", id="before, as punched tapes do"),
        pytest.param(b"\xef\xbb\xbf" + ONE.encode() + b"M02*\n\0\n", id="with a byte order mark"),
    ],
)
def test_padding_is_passed_over(content: bytes) -> None:
    drawing = read(content)
    assert len(drawing.kind) == 1
    assert codes(drawing) == []


def test_nothing_but_padding_is_an_empty_file() -> None:
    with pytest.raises(GerberSyntaxError, match="the file is empty"):
        read(b"\0\0\x1a")


def test_padding_leaves_places_alone() -> None:
    with pytest.raises(GerberSyntaxError, match="unknown statement") as refused:
        read(b"\0\0" + HEAD.encode() + b"\nQ1*\nM02*\0")
    assert (refused.value.span.line, refused.value.span.column) == (2, 1)


@pytest.mark.parametrize("comment", ["N1G04 LANDS*", "n12 g4 a-b*", "G004 text, with signs = + -*", "N7G04*"])
def test_comments_may_be_numbered_and_have_zeros(comment: str) -> None:
    assert len(read(f"{comment}{ONE}{comment}M02*").kind) == 1


def test_a_stray_percent_sign_behind_the_end_does_no_harm() -> None:
    assert codes(read(ONE + "M02*%\n")) == []


def test_a_percent_sign_that_opens_something_is_still_missed() -> None:
    with pytest.raises(GerberSyntaxError, match="never closed"):
        read(ONE + "%")


def test_an_end_without_its_star_is_read_and_told() -> None:
    drawing = read(ONE + "M02")
    assert len(drawing.kind) == 1
    assert codes(drawing) == ["no-end"]


# ------------------------------------------------------------------------------------- the current point


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("%ABD20*%D10*X1000000Y1000000D03*%AB*%D10*Y0D03*", id="a flash behind a block"),
        pytest.param("%ABD20*%D10*X1000000Y1000000D03*%AB*%D11*X0Y0D01*", id="a stroke behind a block"),
        pytest.param("X0Y0D02*%ABD20*%D10*X1000000D03*%AB*%", id="the first in a block"),
        pytest.param("%SRX2Y1I5J0*%D10*X0Y0D03*%SR*%X9000000D03*", id="a flash behind a repeat"),
    ],
)
def test_a_point_that_is_not_defined_is_told(text: str) -> None:
    drawing = read(HEAD + "%ADD10R,1X2*%%ADD11C,0.5*%D10*" + text + "X20000000Y20000000D03*M02*")
    assert codes(drawing) == ["point-after-block"]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("%ABD20*%D10*X0Y0D03*%AB*%D20*X0Y0D03*", id="a block"),
        pytest.param("%ABD20*%D10*X0Y0D03*%AB*%D11*X0Y0D02*X1000000D01*", id="a move behind a block"),
        pytest.param("%SRX1Y1I0J0*%D10*X0Y0D03*%SRX1Y1I0J0*%Y5000000D03*", id="repeated once"),
    ],
)
def test_nothing_is_said_where_the_point_is_defined(text: str) -> None:
    assert codes(read(HEAD + "%ADD10R,1X2*%%ADD11C,0.5*%" + text + "M02*")) == []


@pytest.mark.parametrize(
    "text", ["X0Y0D02*X2000000I1000000J0D01*", "X0Y0I5D03*", "G36*X0Y0I1J1D02*X1Y0D01*G37*"]
)
def test_a_centre_where_no_arc_is_drawn_is_told(text: str) -> None:
    drawing = read(HEAD + "%ADD10C,0.5*%D10*G75*G01*" + text + "X9000000Y9000000D03*M02*")
    assert "stray-centre" in codes(drawing)


@pytest.mark.parametrize("text", ["X2000000I0J0D01*", "G03*X2000000I1000000J0D01*G01*"])
def test_a_centre_of_an_arc_or_one_of_zeros_is_not(text: str) -> None:
    assert codes(read(HEAD + "%ADD10C,0.5*%D10*G75*G01*X0Y0D02*" + text + "M02*")) == []


# ---------------------------------------------------------------------------------------------- macros


@pytest.mark.parametrize("body", ["$1=$1x2*", "$3=1*$3=2*"])
def test_a_macro_variable_that_is_set_twice_is_told(body: str) -> None:
    (said,) = read(HEAD + f"%AMA*{body}1,1,$1,0,0*%%ADD10A,1X2*%D10*X0Y0D03*M02*").diagnostics
    assert (said.code, "set twice" in said.text) == ("legacy", True)


def test_a_macro_variable_of_its_own_is_in_order() -> None:
    assert codes(read(HEAD + "%AMA*$3=$1x2*1,1,$3,0,0*%%ADD10A,1X2*%D10*X0Y0D03*M02*")) == []


def test_macros_that_take_too_long_together_are_refused() -> None:
    # 30 apertures of 40 assignments and a circle each: 1230 statements
    macro = "%AMA*" + "$9=$9+1*" * 40 + "1,1,1,0,0*%"
    uses = "".join(f"%ADD{n}A*%D{n}*X{n}000000Y0D03*" for n in range(10, 40))
    text = HEAD + macro + uses + "M02*"
    assert len(read(text).kind) == 30
    with pytest.raises(GerberUnsupportedError, match="statements to carry out") as refused:
        read(text, Limits(statements=1000))
    assert "--limit statements=" in refused.value.hint


# ---------------------------------------------------------------------------------------------- crumbs


def test_chords_leave_no_crumbs_where_a_clear_thing_cuts_a_disc() -> None:
    # a clear rectangle whose left side touches the disc from within half of it: what is left is half a disc
    openings = cut_from(read(HEAD + "%ADD10C,1*%D10*X4500000Y0D03*%LPC*%%ADD11R,2X1*%D11*X5500000Y0D03*M02*"))
    assert openings.shapes.area_mm2.tolist() == pytest.approx([math.pi / 8], abs=1e-4)
    assert [said.code for said in openings.diagnostics] == []


def test_what_a_clear_stroke_of_its_own_pen_has_wiped_out_leaves_nothing() -> None:
    pen = "%ADD10C,1*%D10*X0Y0D02*X3000000Y1000000D01*"
    openings = cut_from(read(HEAD + pen + "%LPC*%X0Y0D02*X3000000Y1000000D01*%LPD*%X9000000Y0D03*M02*"))
    assert len(openings) == 1
    assert [said.code for said in openings.diagnostics] == []
