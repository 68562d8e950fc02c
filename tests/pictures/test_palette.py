"""Colours can be told from what they lie on: contrast as WCAG 2 defines it (formula from memory)."""

from collections.abc import Mapping

import pytest

from pastecheck.pictures.palette import DARK, LIGHT, style_of

GRAPHICS, TEXT = 3.0, 4.5
LIES_ON = [
    ("opening", "film", GRAPHICS),
    ("board", "film", GRAPHICS),
    ("ink", "film", TEXT),
    ("ink", "paper", TEXT),
    *((level, "film", GRAPHICS) for level in ("settled", "warning", "error")),
    *((level, f"{level}-halo", GRAPHICS) for level in ("settled", "warning", "error")),
    *(("ink", f"{level}-halo", TEXT) for level in ("settled", "warning", "error")),
    # marks on openings are rings of their level between these two
    *(("dot", level, TEXT) for level in ("settled", "warning", "error")),
]


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("colour", "ground", "least"), LIES_ON)
def test_colours_stand_off_what_they_lie_on(
    palette: Mapping[str, str], colour: str, ground: str, least: float
) -> None:
    low, high = sorted(luminance(palette[name]) for name in (colour, ground))
    assert (high + 0.05) / (low + 0.05) >= least


def test_both_palettes_name_the_same_colours() -> None:
    assert list(LIGHT) == list(DARK)


def test_lines_and_marks_keep_their_width_on_a_screen() -> None:
    on_screen, in_file = style_of(LIGHT), style_of(LIGHT, 2.0)
    assert "vector-effect:non-scaling-stroke" in on_screen
    assert ".film .halo{stroke-width:18px}" in on_screen
    # 2 mm are 20000 steps of 0.1 um
    assert ".film .halo{stroke-width:20000}" in in_file
    assert "non-scaling" not in in_file


def test_colours_may_be_variables_of_a_page() -> None:
    style = style_of({name: f"var(--{name})" for name in LIGHT})
    assert ".film .outlines.error{fill:var(--error)}" in style
