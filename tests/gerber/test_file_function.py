"""The function of a file is known without reading it, and is the one that reading finds."""

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.errors import GerberSyntaxError, InputError

FIXTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures" / "gerber").glob("*.gbr"))
HEAD = b"%FSLAX24Y24*%\n%MOMM*%\n"


@pytest.mark.parametrize(
    ("content", "functions"),
    [
        (b"%TF.FileFunction,Paste,Top*%\n", ["Paste,Top"]),
        (b"G04 hello*\nG04 #@! TF.FileFunction,Paste,Bot*\n", ["Paste,Bot"]),
        (b"%TF.FileFunction,Copper\\u002cL1*%", ["Copper,L1"]),
        (b"%TF.Part,Single*%", []),
        (b"%TF.FileFunction*%%TF.FileFunction,*%", []),
        (b"", []),
        (b"G04 its function is TF.FileFunction,Copper,L1,Top*\n", []),  # a comment for people
        (b"G04 a copy of a board with %TF.FileFunction,Paste,Top*\n", []),
        (b"G04 %*TF.FileFunction,Paste,Top*", ["Paste,Top"]),  # the comment ends before it
        (b"%LPD*TF.FileFunction,Paste,Top*%", ["Paste,Top"]),
        (b"%tf .FileFunction , Paste,Top*%", ["Paste,Top"]),
        (b"*%" + b"\n" * 5000 + b"%TF.FileFunction,Paste,Top*%", ["Paste,Top"]),
        (b"%TF.FileFunction,Paste,Top*%\n%TF.FileFunction,Paste,Bot*%", ["Paste,Top", "Paste,Bot"]),
        (b"%TF.FileFunction,Paste,Top*%\nG04 #@! TF.FileFunction, paste,TOP*", ["Paste,Top"]),
        (b"%TF.FileFunction,Paste.FileFunction,Top*%", ["Paste.FileFunction,Top"]),
        (b"%TF.FileFunction,Paste,T", []),  # cut off
    ],
)
def test_the_function_of_a_file_is_known_without_reading_it(content: bytes, functions: list[str]) -> None:
    assert list(gerber.file_functions(content)) == functions


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_it_is_what_reading_the_file_finds(path: Path) -> None:
    content = path.read_bytes()
    assert list(gerber.file_functions(content)) == _read(content)


def _read(content: bytes) -> list[str]:
    function = gerber.read(content, "a").function
    return [function] if function else []


SAID = [b"TF.FileFunction,Paste,Top", b"TF.FileFunction,Copper,L1", b"TF.FileFunction, paste,top"]
PIECES = [*SAID, b"%TF.FileFunction,Paste,Top*%", b"%", b"*", b"*%", b"G04", b" #@! ", b"with ", b"\n"]


@given(st.lists(st.sampled_from(PIECES), max_size=12))
def test_it_is_what_reading_finds_in_any_text_that_can_be_read(pieces: list[bytes]) -> None:
    content = HEAD + b"".join(pieces) + b"*M02*"
    functions = list(gerber.file_functions(content))
    try:
        read = _read(content)
    except GerberSyntaxError as error:
        assert (error.code == "contradiction") <= (len(functions) > 1)  # noqa: PT017
    else:
        assert functions == read or b"#@! %" in content  # seen by eye, not by the reader


def test_a_file_that_says_it_is_two_layers_is_refused_where_it_says_the_second() -> None:
    content = b"%TF.FileFunction,Paste,Top*%\n%TF.FileFunction,Copper,L1,Top*%\n" + HEAD + b"M02*"
    with pytest.raises(
        InputError, match="that it is 'Paste,Top', and here that it is 'Copper,L1,Top'"
    ) as error:
        gerber.read(content, "a")
    assert (error.value.code, error.value.span.line) == ("contradiction", 2)


def test_what_stands_behind_the_end_of_a_file_is_not_its_function() -> None:
    content = HEAD + b"%TF.FileFunction,Paste,Top*%M02*%TF.FileFunction,Copper,L1,Top*%M02*"
    assert gerber.read(content, "a").function == "Paste,Top"


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
    assert list(gerber.file_functions(content)) == ["Paste,Bot"]
    assert time.perf_counter() - begun < 1


@pytest.mark.parametrize(
    "text", [b".FileFunction,", b"%TF.FileFunction,", b".FileFunction,*", b".FileFunction" + b" " * 9]
)
def test_no_text_makes_it_slow_to_find(text: bytes) -> None:
    begun = time.perf_counter()
    gerber.file_functions(text * 300_000)
    assert time.perf_counter() - begun < 2
