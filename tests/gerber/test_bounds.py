"""What would take all memory is refused before it does, names the limit, and is read when that is raised."""

import pytest

from pastecheck import gerber
from pastecheck.errors import GerberUnsupportedError
from pastecheck.limits import STANDARD
from tests.gerber.layers import read

DISC = ("%ADD10C,1*%", "D10*")
FLASH = "X0Y0D03*"


def _refused(name: str, most: int, *lines: str) -> str:
    """The error where a limit is set so low; the number that it names is enough."""
    with pytest.raises(GerberUnsupportedError) as caught:
        read(*lines, limits=STANDARD.raised(name, most))
    assert caught.value.code == "too-large"
    wanted = int(caught.value.hint.rpartition(f"--limit {name}=")[2])
    assert wanted > most
    read(*lines, limits=STANDARD.raised(name, wanted))
    return caught.value.text


def test_statements_are_counted_before_anything_else() -> None:
    # two of the header, two of the aperture, four moves and the end
    text = _refused("statements", 8, *DISC, *["X1D02*"] * 4)
    assert text == "the file has 9 statements; at most 8 are read"


def test_percent_signs_count_where_there_are_more_of_them() -> None:
    assert "the file has 13 statements" in _refused("statements", 12, *["%%"] * 11)


def test_words_are_counted_too() -> None:
    # a statement of 31 words, for one of a file of four statements: 6 x 4 = 24 are read
    words = "G75" + "N1" * 30
    text = _refused("statements", 4, words + "*")
    assert text == "the file has 32 words in its statements; at most 24 are read"


def test_parts_of_apertures_are_objects() -> None:
    # two apertures of a macro of two discs
    lines = ("%AMM*1,1,$1,0,0*1,1,$1,5,0*%", "%ADD11M,1*%", "%ADD12M,2*%", "D11*", FLASH, "D12*", FLASH)
    text = _refused("objects", 3, *lines)
    assert text == "the apertures of the file have 4 parts so far; at most 3 are read"


def test_corners_of_apertures_are_corners() -> None:
    lines = ("%ADD11R,1X1*%", "%ADD12R,2X1*%", "D11*", FLASH, "D12*", FLASH)
    assert "have 8 corners so far; at most 7 are read" in _refused("corners", 7, *lines)


def test_apertures_that_are_not_used_count_nothing() -> None:
    lines = ("%AMM*1,1,$1,0,0*1,1,$1,5,0*%", "%ADD11M,1*%", *DISC, FLASH)
    assert len(read(*lines, limits=STANDARD.raised("objects", 1))) == 1


def test_white_space_without_end_takes_little() -> None:
    content = b"%FSLAX24Y24*%" + b" \n" * 1_000_000 + b"%MOMM*%M02*" + b"\n" * 1_000_000 + b"M05*"
    with pytest.raises(GerberUnsupportedError):
        gerber.read(content, "a", STANDARD.raised("statements", 1))
    drawing = gerber.read(content, "a")
    (said,) = drawing.diagnostics
    assert (said.code, said.span.line, said.span.column) == ("after-end", 2_000_001, 1)
