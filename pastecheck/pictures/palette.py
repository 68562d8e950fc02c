"""
Colours of pictures, and how the parts of one are drawn: the same words in a file and in a page.

Every colour that tells something stands off what it lies on by 3 : 1 at least, letters by 4.5 : 1
(`tests/pictures/test_palette.py`). Levels are told apart by form as well: errors are diamonds, all others are
discs.
"""

from collections.abc import Mapping
from typing import Final

from pastecheck.pictures.conditions import LEVELS
from pastecheck.pictures.outlines import STEPS_PER_MM

LIGHT: Final[Mapping[str, str]] = {
    "paper": "#fbfaf7",
    "film": "#e9eeec",
    "ink": "#22303a",
    "board": "#707c83",
    "land": "#d8cdae",
    "opening": "#46565f",
    "warning": "#8a5200",
    "warning-halo": "#f3d9a4",
    "error": "#a3172e",
    "error-halo": "#f4c4c6",
    "settled": "#44637f",
    "settled-halo": "#d5dfea",
    "dot": "#ffffff",
}
"""By what they are for."""
DARK: Final[Mapping[str, str]] = {
    "paper": "#14191d",
    "film": "#1e262b",
    "ink": "#e8edf0",
    "board": "#8b98a0",
    "land": "#4a4430",
    "opening": "#9fb0b8",
    "warning": "#f0b357",
    "warning-halo": "#4d3813",
    "error": "#ff8a8a",
    "error-halo": "#55202a",
    "settled": "#8fb4dc",
    "settled-halo": "#263a50",
    "dot": "#14191d",
}

_MARK_PX: Final = 18.0
"""Diameter of marks on a screen, however far one has zoomed in or out."""
_OF_MARK: Final = {"halo": 1.0, "inner": 0.74, "dot": 0.16}
"""How large the parts of a mark are."""
_LINES: Final = {"board": (0.15, 1.0), "measured": (0.02, 1.5)}
"""How wide lines are: in a file in mm, on a screen in pixels."""
_SQUARE: Final = ".film .halo.error,.film .inner.error,.film .dot.error{stroke-linecap:square}"
_INHERITED: Final = "fill:inherit;stroke:inherit;stroke-width:inherit;vector-effect:none"
_OF_RIMS: Final = "stroke-width:4;stroke-opacity:.9"
"""So wide that nothing of a mark is seen within a figure 0, which is 4 wide, and no wider than the gap."""
_OF_LETTERS: Final = "fill:none;stroke-width:.8;stroke-linecap:round;stroke-linejoin:round"


def style_of(colours: Mapping[str, str], mark_mm: float | None = None) -> str:
    """
    A style sheet for the classes of a picture.

    Args:
        colours: `LIGHT`, `DARK`, or what stands for them under the same names, such as `var(--ink)`.
        mark_mm: Diameter of the marks of findings, for a file. Without it for a screen: marks and lines keep
            their width in pixels.
    """
    every = [
        f".film path{{fill:none;stroke:none{'' if mark_mm else ';vector-effect:non-scaling-stroke'}}}",
        f".film .paper{{fill:{colours['paper']}}}.film .sheet{{fill:{colours['film']}}}",
        f".film .rim{{fill:{colours['dot']}}}",
        f".film .board{{stroke:{colours['board']}}}.film .lands{{fill:{colours['land']}}}",
        f".film .outlines{{fill:{colours['opening']};fill-rule:evenodd}}.film .lands{{fill-rule:evenodd}}",
        *(f".film .{name}{{stroke-width:{_width(*widths, mark_mm)}}}" for name, widths in _LINES.items()),
        ".film .halo,.film .inner,.film .dot{stroke-linecap:round}",
        *(_of_level(level, colours) for level in LEVELS),
        *(
            f".film .{part}{{stroke-width:{_width((mark_mm or 0) * share, _MARK_PX * share, mark_mm)}}}"
            for part, share in _OF_MARK.items()
        ),
        # what `use` draws again inherits from there, and is no longer inside the groups as far as rules go
        f".film .figures path,.film .letters path{{{_INHERITED}}}",
        f".film .figures,.film .letters{{stroke:{colours['ink']};{_OF_LETTERS}}}",
        f".figure-rim,.film .figures .figure-rim{{stroke:{colours['film']};{_OF_RIMS}}}",
        f".film .figures .inside,.film .measured.inside{{stroke:{colours['dot']}}}",
    ]
    return "".join(every)


def _of_level(level: str, colours: Mapping[str, str]) -> str:
    return (
        f".film .halo.{level},.film .measured.{level}{{stroke:{colours[level]}}}"
        f".film .inner.{level}{{stroke:{colours[f'{level}-halo']}}}"
        f".film .dot.{level}{{stroke:{colours['dot']}}}"
        f"{_SQUARE if level == 'error' else ''}"
        f".film .outlines.{level}{{fill:{colours[level]}}}.film .ring.{level}{{fill:{colours[level]}}}"
        f".film .middle.{level}{{fill:{colours[f'{level}-halo']}}}"
    )


def _width(in_file_mm: float, on_screen_px: float, mark_mm: float | None) -> str:
    """Of a line; paths of a file are drawn in steps."""
    return f"{in_file_mm * STEPS_PER_MM:.0f}" if mark_mm else f"{on_screen_px:g}px"
