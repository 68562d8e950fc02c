"""
Colours of pictures, and how the parts of one are drawn: the same words in a file and in a page.

Every colour that tells something stands off what it lies on by 3 : 1 at least, letters by 4.5 : 1
(`tests/pictures/test_palette.py`). Levels are told apart by form as well: errors are diamonds, warnings are
discs.
"""

from collections.abc import Mapping
from typing import Final

LIGHT: Final[Mapping[str, str]] = {
    "paper": "#fbfaf7",
    "film": "#e9eeec",
    "ink": "#22303a",
    "quiet": "#5b6770",
    "board": "#77838a",
    "land": "#d9cfb4",
    "opening": "#46565f",
    "warning": "#8a5200",
    "warning-halo": "#f3d9a4",
    "error": "#a3172e",
    "error-halo": "#f4c4c6",
    "settled": "#4d6b8a",
    "settled-halo": "#d5dfea",
    "core": "#ffffff",
}
"""By what they are for."""
DARK: Final[Mapping[str, str]] = {
    "paper": "#14191d",
    "film": "#1e262b",
    "ink": "#e8edf0",
    "quiet": "#a3b0b8",
    "board": "#7d8a92",
    "land": "#4a4430",
    "opening": "#9fb0b8",
    "warning": "#f0b357",
    "warning-halo": "#5a3f10",
    "error": "#ff8a8a",
    "error-halo": "#5e1f28",
    "settled": "#8fb4dc",
    "settled-halo": "#263a50",
    "core": "#14191d",
}


def style_of(colours: Mapping[str, str], mark_mm: float) -> str:
    """
    A style sheet for the classes of a picture, in colours of a palette.

    Args:
        colours: Of `LIGHT`, `DARK`, or what stands for them, such as `var(--ink)`, under the same names.
        mark_mm: Diameter of the marks of findings.
    """
    step = 10_000  # what is drawn with lines is measured in steps of 0.1 um
    marks = "".join(
        f".film .halo.{level}{{stroke:{colours[level]};stroke-width:{mark_mm * step:.0f}}}"
        f".film .inner.{level}{{stroke:{colours[f'{level}-halo']};stroke-width:{0.74 * mark_mm * step:.0f}}}"
        f".film .dot.{level}{{stroke:{colours['core']};stroke-width:{0.16 * mark_mm * step:.0f}}}"
        f".film .outlines.{level}{{fill:{colours[level]}}}"
        f".film .measured.{level}{{stroke:{colours[level]}}}"
        for level in ("settled", "warning", "error")
    )
    return (
        f".film .paper{{fill:{colours['paper']}}}.film .sheet{{fill:{colours['film']}}}"
        f".film path{{fill:none;stroke:none}}"
        f".film .board{{stroke:{colours['board']};stroke-width:1500}}"
        f".film .lands{{fill:{colours['land']};fill-rule:evenodd}}"
        f".film .outlines{{fill:{colours['opening']};fill-rule:evenodd}}"
        f".film .halo,.film .inner,.film .dot{{stroke-linecap:round}}"
        f".film .error{{stroke-linecap:square}}"
        f".film .measured{{stroke-width:200}}"
        f".film .figures path{{stroke:{colours['ink']};stroke-width:.8;stroke-linecap:round;"
        f"stroke-linejoin:round}}"
        f".film .letters path{{stroke:{colours['ink']};stroke-width:.7;stroke-linecap:round;"
        f"stroke-linejoin:round}}"
        f"{marks}"
    )
