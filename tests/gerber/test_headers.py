"""Headers that say things twice, begin with a byte-order mark or hold empty statements are read as meant."""

import pytest

from pastecheck import gerber
from pastecheck.errors import GerberSyntaxError
from tests.gerber.layers import flashes, read

DRAWN = ("%ADD10C,1*%", "D10*", "X1000000Y0D03*")


@pytest.mark.parametrize("again", ["%FSLAX46Y46*%", "%MOMM*%", "%ADD10C,1*%", "%*%", "*", "G71*"])
def test_what_is_said_again_alike_or_not_at_all_changes_nothing(again: str) -> None:
    assert flashes(read(again, *DRAWN)) == [(1, 0)]


def test_a_byte_order_mark_is_no_statement_and_moves_no_column() -> None:
    text = b"\xef\xbb\xbf%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1*%\nD10*\nX1000000Y0D03*\nM02*\n"
    drawing = gerber.read(text, "a")
    assert (flashes(drawing), drawing.line.tolist()) == ([(1, 0)], [5])


@pytest.mark.parametrize("end", ["M02*\nhello", "M00*\n-- \nsent by mail", "m2*x"])
def test_a_text_behind_the_end_is_told_and_not_drawn(end: str) -> None:
    text = "\n".join(["%FSLAX46Y46*%", "%MOMM*%", *DRAWN, end])
    drawing = gerber.read(text.encode(), "a")
    assert flashes(drawing) == [(1, 0)]
    assert [said.code for said in drawing.diagnostics if said.code != "legacy"] == ["after-end"]


@pytest.mark.parametrize("end", ["M02*\n\x1a", "M02*\x1a\n"])
def test_what_old_systems_put_behind_the_end_is_not_worth_a_word(end: str) -> None:
    text = "\n".join(["%FSLAX46Y46*%", "%MOMM*%", *DRAWN, end])
    assert gerber.read(text.encode(), "a").diagnostics == ()


@pytest.mark.parametrize("end", ["X0Y0", "G04 M02*\nX0Y0", "X1M02"])
def test_a_text_that_breaks_off_before_the_end_is_refused(end: str) -> None:
    text = "\n".join(["%FSLAX46Y46*%", "%MOMM*%", *DRAWN, end])
    with pytest.raises(GerberSyntaxError) as caught:
        gerber.read(text.encode(), "a")
    assert caught.value.code == "truncated"


@pytest.mark.parametrize("statement", ["%MO*%", "%MOFT*%", "%MOMMX*%"])
def test_a_unit_that_is_none_is_refused(statement: str) -> None:
    with pytest.raises(GerberSyntaxError) as caught:
        read(statement, *DRAWN)
    assert (caught.value.code, caught.value.span.line) == ("malformed-statement", 3)
