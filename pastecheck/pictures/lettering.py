"""Letters of single strokes, drawn as paths: a picture looks the same wherever it is shown, fonts or none."""

from functools import cache
from itertools import pairwise
from typing import Final

_CAP: Final = 6
"""Height of figures, in parts of the grid that letters are drawn on."""
_APART: Final = 2
"""Between letters."""
_SPACE: Final = 3
_BASE: Final = 2

_STROKES: Final = {
    "0": "12 32 43 47 38 18 07 03 12",
    "1": "07 28 22",
    "2": "07 18 38 47 46 02 42",
    "3": "07 18 38 47 46 35 25,35 44 43 32 12 03",
    "4": "32 38 04 44",
    "5": "48 08 05 35 44 43 32 12 03",
    "6": "47 38 18 07 03 12 32 43 44 35 05",
    "7": "08 48 12",
    "8": "15 06 07 18 38 47 46 35 15 04 03 12 32 43 44 35",
    "9": "03 12 32 43 47 38 18 07 06 15 45",
    "a": "06 36 45 42,42 12 03 14 44",
    "b": "08 02 32 43 45 36 06",
    "c": "46 16 05 03 12 42",
    "d": "48 42 12 03 05 16 46",
    "e": "04 44 45 36 16 05 03 12 42",
    "f": "38 28 17 12,06 36",
    "g": "42 12 03 05 16 46 41 30 00",
    "h": "08 02,06 36 45 42",
    "i": "06 02,08 08",
    "j": "26 21 10 00,28 28",
    "k": "08 02,46 04 42",
    "l": "08 03 12",
    "m": "02 06 26 35 32,35 46 56 65 62",
    "n": "02 06 36 45 42",
    "o": "12 32 43 45 36 16 05 03 12",
    "p": "00 06 36 45 43 32 02",
    "q": "40 46 16 05 03 12 42",
    "r": "02 06,05 16 36",
    "s": "46 16 05 14 34 43 32 02",
    "t": "18 13 22 32,06 36",
    "u": "06 03 12 42 46",
    "v": "06 22 46",
    "w": "06 12 35 52 66",
    "x": "06 42,02 46",
    "y": "06 22,46 10 00",
    "z": "06 46 02 42",
    ".": "02 02",
    ",": "12 01",
    ":": "02 02,06 06",
    "-": "04 34",
    "+": "04 44,26 22",
    "/": "02 48",
    "(": "28 06 04 22",
    ")": "08 26 24 02",
}
"""
Strokes of each letter: points as column and row of a grid. Figures stand on row 2 and reach to row 8, small
letters to row 6, and what hangs below the line to row 0.
"""


def width_of(text: str, height: float) -> float:
    """
    How long a text is, written with figures of some height, in the height's unit.

    Example:
        >>> width_of("10", 6.0)
        8.0
    """
    parts = sum(_width(letter) + _APART for letter in text) - _APART
    return max(parts, 0) * height / _CAP


@cache
def path_of(text: str) -> str:
    """
    A text of the letters above and spaces as path data; y downward, the base line at 0, figures 6 high.

    Example:
        >>> path_of("1.")
        'M0-5l2-1v6M4 0h.01'

    Raises:
        KeyError: If there is a letter that is not drawn.
    """
    path, at = "", 0
    for letter in text:
        if letter != " ":
            strokes = _STROKES[letter].split(",")
            path += "".join(_stroke(points.split(), at) for points in strokes)
        at += _width(letter) + _APART
    return path


def _width(letter: str) -> int:
    if letter == " ":
        return _SPACE - _APART
    return max(int(point[0]) for stroke in _STROKES[letter].split(",") for point in stroke.split())


def _stroke(points: list[str], at: int) -> str:
    places = [(int(point[0]) + at, _BASE - int(point[1])) for point in points]
    path = f"M{_pair(*places[0])}"
    if places[-1] == places[0] and len(places) == 2:
        return f"{path}h.01"  # a dot: ends are round
    for (x, y), (to_x, to_y) in pairwise(places):
        if to_y == y:
            path += f"h{to_x - x}"
        elif to_x == x:
            path += f"v{to_y - y}"
        else:
            path += f"l{_pair(to_x - x, to_y - y)}"
    return path


def _pair(x: int, y: int) -> str:
    return f"{x}{y}" if y < 0 else f"{x} {y}"
