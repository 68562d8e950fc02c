"""Letters drawn as paths."""

import string

import pytest

from pastecheck.pictures.documents import _SEEN, _WORDS
from pastecheck.pictures.lettering import path_of, width_of


@pytest.mark.parametrize("text", [*_SEEN.values(), *_WORDS.values(), string.digits, string.ascii_lowercase])
def test_all_that_is_written_can_be_drawn(text: str) -> None:
    assert path_of(text).startswith("M")


def test_a_letter_that_is_not_drawn_is_a_defect() -> None:
    with pytest.raises(KeyError):
        path_of("?")


def test_no_letter_looks_like_another() -> None:
    letters = string.digits + string.ascii_lowercase
    assert len({path_of(letter) for letter in letters}) == len(letters)


def test_a_text_is_as_wide_as_its_letters_and_what_is_between() -> None:
    # 0 is 4 wide, 1 is 2, spaces are 1 and letters 2 apart: 4 + 2 + 2, in sixths of the height
    assert width_of("01", 3.0) == pytest.approx(4.0)
    assert width_of("", 3.0) == 0
