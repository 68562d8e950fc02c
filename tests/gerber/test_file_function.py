"""The function of a file is known without reading it, and is the one that reading finds."""

import time
from pathlib import Path

import pytest

from pastecheck import gerber

FIXTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures" / "gerber").glob("*.gbr"))
HEAD = b"%FSLAX24Y24*%\n%MOMM*%\n"


@pytest.mark.parametrize(
    ("content", "function"),
    [
        (b"%TF.FileFunction,Paste,Top*%\n", "Paste,Top"),
        (b"G04 hello*\nG04 #@! TF.FileFunction,Paste,Bot*\n", "Paste,Bot"),
        (b"%TF.FileFunction,Copper\\u002cL1*%", "Copper,L1"),
        (b"%TF.Part,Single*%", ""),
        (b"", ""),
        (b"G04 its function is TF.FileFunction,Copper,L1,Top*\n", ""),  # a comment for people
        (b"%LPD*TF.FileFunction,Paste,Top*%", "Paste,Top"),
        (b"%tf .FileFunction , Paste,Top*%", "Paste,Top"),
        (b"%TF.FileFunction,Paste,Top*%\n%TF.FileFunction,Paste,Bot*%", "Paste,Top"),  # the first one counts
    ],
)
def test_the_function_of_a_file_is_known_without_reading_it(content: bytes, function: str) -> None:
    assert gerber.file_function(content) == function


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_it_is_what_reading_the_file_finds(path: Path) -> None:
    content = path.read_bytes()
    assert gerber.file_function(content) == gerber.read(content, path.name).function


@pytest.mark.parametrize(
    ("function", "polarity", "codes"),
    [
        ("Paste,Top", "Negative", ["negative-polarity"]),
        ("Paste,Top", "Positive", []),
        ("Soldermask,Top", "Negative", []),  # drawn where there is none, as is usual
        ("Copper,L1,Top", "Negative", []),
    ],
)
def test_a_paste_layer_that_calls_itself_negative_is_read_as_drawn_and_doubted(
    function: str, polarity: str, codes: list[str]
) -> None:
    attributes = f"%TF.FilePolarity,{polarity}*%%TF.FileFunction,{function}*%".encode()
    drawing = gerber.read(HEAD + attributes + b"%ADD10C,1*%D10*X0Y0D03*M02*", "a")
    assert [said.code for said in drawing.diagnostics] == codes
    assert drawing.dark.tolist() == [True]


def test_it_may_stand_at_the_end_of_a_large_file() -> None:
    content = HEAD + b"X1000Y1000D02*\n" * 1_000_000 + b"%TF.FileFunction,Paste,Bot*%\nM02*\n"
    begun = time.perf_counter()
    assert gerber.file_function(content) == "Paste,Bot"
    assert time.perf_counter() - begun < 1
