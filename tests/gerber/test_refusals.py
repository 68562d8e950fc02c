"""What makes no sense is refused at its line, with a text that names it."""

import pytest

from pastecheck import gerber
from pastecheck.errors import InputError
from tests.gerber.layers import read

DISC = "%ADD10C,1*%"
FLASH = ("D10*", "X0Y0D03*")
UP = "X0Y0D02*"


def _macro(body: str, parameters: str = "") -> tuple[str, ...]:
    return (f"%AMM*{body}*%", f"%ADD10M{parameters}*%", *FLASH)


@pytest.mark.parametrize(
    ("lines", "code", "line", "says"),
    [
        # apertures
        (("%ADD9C,1*%",), "malformed-statement", 3, "'ADD9C,1'"),
        (("%ADD10C,one*%",), "malformed-statement", 3, "sizes of the aperture"),
        (("%ADD10NONE*%",), "bad-aperture", 3, "macro 'NONE', which is not defined before it"),
        (("%ADD10C*%", *FLASH), "bad-aperture", 3, "has 0 sizes and needs 1"),
        (("%ADD10R,1X-1*%", *FLASH), "bad-aperture", 3, "a negative size"),
        (("%ADD10C,1X-1*%", *FLASH), "bad-aperture", 3, "a hole has a negative size"),
        (("%ADD10P,1X4.5*%", *FLASH), "bad-aperture", 3, "4.5 corners; 3 to 12 are allowed"),
        (("%ADD10C,1" + "0" * 400 + "*%", *FLASH), "bad-aperture", 3, "no finite number"),
        (("%ADD10C,30000*%", *FLASH), "bad-aperture", 3, "a value beyond 10000"),
        (("X0Y0D03*",), "undefined-aperture", 3, "with no aperture"),
        # macros
        (_macro("1,1,0.5,0"), "bad-aperture", 4, "primitive 1 has 3 values and needs 4"),
        (_macro("1,2,0.5,0,0"), "bad-aperture", 4, "exposure 2; it is 0 or 1"),
        (_macro("1,1,-0.5,0,0"), "bad-aperture", 4, "negative diameter"),
        (_macro("3,1,0.5,0,0"), "bad-aperture", 3, "'3,1,0.5,0,0', which is no primitive"),
        (_macro("20,1,-1,0,0,1,0,0"), "bad-aperture", 4, "a line has a negative width"),
        (_macro("21,1,1,-1,0,0,0"), "bad-aperture", 4, "a rectangle has a negative side"),
        (_macro("4,1,3,0,0,1,0,0,1,0"), "bad-aperture", 4, "has 7 values and needs 9"),
        (_macro("4,1,3,0,0,1,0,0,1,0.1,0,0"), "bad-aperture", 4, "does not end where it began"),
        (_macro("5,1,2,0,0,1,0"), "bad-aperture", 4, "a polygon has 2 corners"),
        (_macro("5,1,4,0,0,-1,0"), "bad-aperture", 4, "negative diameter"),
        (_macro("6,0,0,1,0.1,0.1,1000,0,0,0"), "bad-aperture", 4, "1000 rings"),
        (_macro("6,0,0,-1,0.1,0.1,1,0,0,0"), "bad-aperture", 4, "negative size"),
        (_macro("7,0,0,1,2,0.1,0"), "bad-aperture", 4, "do not fit one another"),
        (_macro("1,1,1/$1,0,0"), "bad-aperture", 4, "division by zero in '1/$1'"),
        (_macro("1,1,(1,0,0"), "bad-aperture", 3, "cannot read '(1' as an expression"),
        (_macro("1,1,1),0,0"), "bad-aperture", 3, "cannot read '1)' as an expression"),
        (_macro("1,1,1x,0,0"), "bad-aperture", 3, "cannot read '1x' as an expression"),
        (_macro("1,1,1^2,0,0"), "bad-aperture", 3, "cannot read '1^2' as an expression"),
        (_macro("1,1,,0,0"), "bad-aperture", 3, "cannot read nothing as an expression"),
        (_macro("1,1," + "(" * 99 + "1" + ")" * 99 + ",0,0"), "bad-aperture", 3, "as an expression"),
        (_macro("1,1,1" + "+1" * 999 + ",0,0"), "bad-aperture", 3, "as an expression"),
        (_macro("$0=1"), "bad-aperture", 3, "'$0' is no macro variable"),
        (_macro("1,1,$1000,0,0"), "bad-aperture", 3, "'$1000' is no macro variable"),
        (_macro("1,1,1,0,0", "," + "X".join(["1"] * 1000)), "bad-aperture", 4, "1000 parameters"),
        (("%AMC*1,1,1,0,0*%",), "malformed-statement", 3, "name of the macro 'C'"),
        (("%AMM*1,1,1,0,0*%", "%AMM*1,1,2,0,0*%"), "contradiction", 4, "macro 'M' is defined twice"),
        # modes and transforms
        (("%FSLAX24Y24*%",), "contradiction", 3, "the coordinate format is given twice"),
        (("G70*",), "contradiction", 3, "the unit is given twice"),
        (("G71*", "G70*"), "contradiction", 4, "the unit is given twice"),
        (("%MOCM*%",), "malformed-statement", 3, "unit 'MOCM'"),
        (("%LPX*%",), "malformed-statement", 3, "polarity 'LPX'"),
        (("%LMZ*%",), "malformed-statement", 3, "mirroring 'LMZ'"),
        (("%LRX*%",), "malformed-statement", 3, "rotation 'LRX'"),
        (("%LS0*%",), "malformed-statement", 3, "scaling 'LS0'"),
        (("%X1Y1D03*%",), "unknown-statement", 3, "'X1Y1D03'"),
        (("HELLO*",), "unknown-statement", 3, "'HELLO'"),
        (("%IFother.gbr*%",), "image-transform", 3, "'IFother.gbr'"),
        (("%SFA1.0B2.0*%",), "image-transform", 3, "'SFA1.0B2.0'"),
        (("%MIA2*%",), "malformed-statement", 3, "the command 'MIA2'"),
        (("%ASAXBX*%",), "malformed-statement", 3, "the command 'ASAXBX'"),
        (("%IR45*%",), "malformed-statement", 3, "the command 'IR45'"),
        (("%IOA1B0*%",), "image-transform", 3, "'IOA1B0'"),
        (("%KOCX0Y0I1J1*%",), "image-transform", 3, "'KOCX0Y0I1J1'"),
        # words
        (("D05*",), "unknown-statement", 3, "unknown D-code"),
        (("G99X1D02*",), "unknown-statement", 3, "unknown G-code together with coordinates"),
        (("G53D10*",), "unknown-statement", 3, "or a D-code"),
        (("M05X1D02*",), "unknown-statement", 3, "unknown M-code"),
        (("X1.5Y-.5D03*",), "malformed-statement", 3, "a number with a decimal point in 'X1.5Y-.5D03'"),
        (("g01 x 1. y 2 d02*",), "malformed-statement", 3, "a decimal point"),
        (("X1,5Y2D03*",), "unknown-statement", 3, "'X1,5Y2D03'"),
        (("X1X2D02*",), "malformed-statement", 3, "X stands twice"),
        (("G01G02X1D02*",), "malformed-statement", 3, "G1 or G2 or G3 stands twice"),
        (("1X1D02*",), "malformed-statement", 3, "begins with no letter"),
        (("X+-1D02*",), "malformed-statement", 3, "a sign out of place"),
        (("X1234567890123456D02*",), "malformed-statement", 3, "more than 15 digits"),
        (("X99999999999D02*",), "too-large", 3, "farther than 10 m"),
        ((DISC, "X1D10*"), "misplaced-statement", 4, "selected together with coordinates"),
        # regions
        (("G36*", "G36*", "G37*"), "misplaced-statement", 4, "begins inside a region"),
        (("G36*", UP), "unclosed-region", 3, "is not ended (G37)"),
        (("G36*", UP, "%LPC*%", "G37*"), "misplaced-statement", 5, "the polarity changes inside a region"),
        (("%LPC*%", "G36*", "%LPD*%", "G37*"), "misplaced-statement", 5, "the polarity changes"),
        (("G36*", "%SRX2Y1I1J0*%", "G37*"), "misplaced-statement", 4, "a step and repeat or block begins"),
        (("%SRX2Y1I1J0*%", "G36*", "%SR*%", "G37*"), "misplaced-statement", 5, "or ends inside a region"),
        (("G36*", "%ABD10*%", "%AB*%", "G37*"), "misplaced-statement", 4, "a step and repeat or block"),
        # strokes and arcs
        (("%AMM*1,1,1,0,0*1,0,1,1,0*%", "%ADD10M*%", "D10*", UP, "X1D01*"), "unsweepable-aperture", 7, "(M)"),
        (("%ADD10R,1X1*%", "D10*", UP, "G75*", "G02X2J0I1D01*"), "unsweepable-aperture", 7, "an arc"),
        (("%ABD10*%", "%AB*%", "D10*", UP, "X1D01*"), "unsweepable-aperture", 7, "block D10"),
        ((DISC, "D10*", UP, "G74*", "G03X2000J0I1000D01*"), "impossible-arc", 7, "no centre"),
        # repeats and blocks
        (("%SRX0Y1I1J1*%",), "malformed-statement", 3, "counts from 1"),
        (("%SRX*%",), "malformed-statement", 3, "'SRX'"),
        ((DISC, "%SRX2Y1I9999J0*%", "D10*", "X9000000000D03*", "%SR*%"), "too-large", 6, "farther than 10 m"),
        ((DISC, "D10*", "%SRX99999Y99999I0J0*%", "X0Y0D03*", "%SR*%"), "too-large", 5, "9999800001 objects"),
        (("%ABD9*%",), "malformed-statement", 3, "'ABD9'"),
        (("%AB*%",), "misplaced-statement", 3, "that was not begun"),
        (("%ABD10*%",), "misplaced-statement", 3, "is not ended"),
        (("%SRX2Y2I1J1*%", "%ABD10*%", "%SR*%", "%AB*%"), "misplaced-statement", 5, "inside a block"),
        ((DISC, "%ABD10*%", "%AB*%"), "contradiction", 4, "D10 is defined already"),
        (("%ABD10*%", "%AB*%", DISC), "contradiction", 5, "D10 is a block already"),
        (("%ABD10*%", *FLASH, "%AB*%"), "undefined-aperture", 5, "used before it is complete"),
        (
            (DISC, "%ABD11*%", "D10*", "X9000000000Y0D03*", "%AB*%", "%LS5*%", "D11*", "X0Y0D03*"),
            "too-large", 10, "farther than 10 m",
        ),
    ],
)  # fmt: skip
def test_nonsense_is_refused(lines: tuple[str, ...], code: str, line: int, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read(*lines)
    error = caught.value
    assert (error.code, error.span.line) == (code, line)
    assert says in error.text


@pytest.mark.parametrize(
    ("format_", "word", "code"),
    [
        ("FSLAX24Y23", "X1", "malformed-statement"),
        ("FSLAX88Y88", "X1", "malformed-statement"),
        ("FSQAX24Y24", "X1", "malformed-statement"),
        ("FSTAX24Y24", "X1234567", "malformed-statement"),  # more digits than the format has
        ("FSAX24Y24", "X12", "no-format"),  # nobody knows which zeros are left out
    ],
)
def test_formats_that_leave_a_place_open_are_refused(format_: str, word: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        read(f"{word}D02*", head=(f"%{format_}*%", "%MOMM*%"))
    assert caught.value.code == code


def test_a_format_without_omission_is_read_where_all_digits_are_written() -> None:
    drawing = read(DISC, "D10*", "X010000Y-020000D03*", head=("%FSAX24Y24*%", "%MOMM*%"))
    assert (drawing.x_nm.tolist(), drawing.y_nm.tolist()) == ([1_000_000], [-2_000_000])


def test_hostile_text_does_not_reach_the_message() -> None:
    with pytest.raises(InputError) as caught:
        read("%X1\x1b[31m\u202e" + "A" * 1000 + "*%")
    assert caught.value.text.isprintable()
    assert len(caught.value.text) < 120


def test_columns_count_from_one() -> None:
    with pytest.raises(InputError) as caught:
        gerber.read(b"%FSLAX24Y24*%\n%MOMM*%\n  D09*\n", "a")
    assert (caught.value.span.line, caught.value.span.column) == (3, 3)
