"""Causes in words, for people."""

import re
from collections.abc import Sequence
from itertools import starmap
from typing import Final

from pastecheck.report import Level
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._told import Cause, Failed, Kind, Rows, Size

COMPONENTS_NAMED: Final = 4
_SIZES_NAMED: Final = 2
_PLACES_NAMED: Final = 4
_SAME_PITCH_MM: Final = 0.01
_OF_POLYMER: Final = re.compile(r"poly|plastic|acetate|vinyl|\b(films?|pet|pvc|peek|ptfe)\b", re.IGNORECASE)
_NUMBERS: Final = ("no", "a", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def many(count: int, what: str) -> str:
    """
    How many of something.

    Example:
        >>> many(1, "opening"), many(3, "row")
        ('1 opening', '3 rows')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"


def what(cause: Cause) -> str:
    """What a cause is about: `25 of 48 openings of U1, in two rows at 0.50 mm pitch, 0.25 x 1.50 mm`."""
    if cause.kind is Kind.PLACES:
        return cause.title if cause.count == 1 else f"{cause.title}, {many(cause.count, 'place')}"
    count = many(cause.among, "opening")
    if cause.kind in {Kind.PAIRS, Kind.LOOSE_PAIRS}:
        count = f"{many(cause.count, 'pair')} of openings"
    elif cause.count < cause.among:
        count = f"{cause.count} of {count}"
    of = f" of {components(cause.components)}" if cause.components else ""
    rows = f", {rows_told(cause.rows, cause.count)}" if cause.rows else ""
    sizes = list(dict.fromkeys(map(size, cause.sizes)))  # two that are told apart by a hair read the same
    of_sizes = " and ".join(sizes) if len(sizes) <= _SIZES_NAMED else f"{sizes[0]} to {sizes[-1]}"
    return f"{count}{of}{rows}, {of_sizes}"


def components(names: Sequence[str]) -> str:
    """
    Names of components, some of them if they are many.

    Example:
        >>> components(["U1"]), components(["R1", "R2", "R3", "R4", "R5", "R6"])
        ('U1', 'R1, R2, R3, R4 and 2 more')
    """
    left = len(names) - COMPONENTS_NAMED
    if left == 1:
        left = 0  # one more takes no more room than a word that there is one
    if left > 0:
        return f"{', '.join(map(harmless, names[:COMPONENTS_NAMED]))} and {left} more"
    return listed(names)


def listed(names: Sequence[str]) -> str:
    """
    All of some names.

    Example:
        >>> listed(["a"]), listed(["a", "b", "c"])
        ('a', 'a, b and c')
    """
    named = list(map(harmless, names))
    return " and ".join([", ".join(named[:-1]), named[-1]]) if len(named) > 1 else named[0]


def foil_word(name: str, material: str) -> str:
    """
    What a foil is called: film if it is of a polymer, as far as its name and material say.

    Example:
        >>> foil_word("stencil film", "PET"), foil_word("sheet", "polyimide"), foil_word("sheet", "nickel")
        ('film', 'film', 'foil')
    """
    return "film" if _OF_POLYMER.search(f"{name} {material}") else "foil"


def side_of_board(side: str) -> str:
    """
    Which side a layer is of.

    Example:
        >>> side_of_board("top"), side_of_board("unknown")
        ('top side', 'side not known')
    """
    return "side not known" if side == "unknown" else f"{side} side"


def size(one: Size) -> str:
    """
    Width and length, or the diameter.

    Example:
        >>> size(Size(0.25, 1.5, is_round=False)), size(Size(0.2749, 0.2749, is_round=True))
        ('0.25 x 1.50 mm', '0.275 mm round')
    """
    if one.is_round:
        return f"{side(one.width_mm)} mm round"
    return f"{side(one.width_mm)} x {side(one.length_mm)} mm"


def side(length_mm: float) -> str:
    """A length to the micrometre, less its last digit where that is 0."""
    return f"{length_mm:.3f}".removesuffix("0")


def how_often(failed: Failed, cause: Cause) -> str:
    """How many of the openings failed a check, and which level that is, where the heading does not say."""
    words = []
    is_of_pairs = failed.worst.other is not None
    if cause.kind is Kind.OPENINGS and is_of_pairs:
        words.append(many(failed.findings, "pair"))
    elif cause.kind is Kind.OPENINGS and failed.findings < cause.count:
        words.append(f"{failed.findings} of them")
    warnings = failed.findings - failed.errors
    if failed.errors and warnings:
        words.append(f"{many(failed.errors, 'error')}, {many(warnings, 'warning')}")
    elif failed.worst.level is not cause.level:
        words.append(Level.WARNING.value)
    return ", ".join(words)


def where(cause: Cause) -> str:
    """The place of a cause, and of the worst of it."""
    worst = cause.failed[0].worst
    at = place(worst.x_mm, worst.y_mm)
    line = f", line {worst.line}" if worst.line else ""
    if len(cause.places_mm) > 1:
        places, left = cause.places_mm[:_PLACES_NAMED], len(cause.places_mm) - _PLACES_NAMED
        named = ", ".join(starmap(place, places))
        return f"at {named} mm{f' and {left} more' if left > 0 else ''}; worst first{line}"
    low_x, low_y, high_x, high_y = cause.within_mm
    if (low_x, low_y) == (high_x, high_y) or (cause.count == 1 and cause.kind is not Kind.PLACES):
        return f"at {at} mm{line}"
    return f"{place(low_x, low_y)} to {place(high_x, high_y)} mm; worst at {at}{line}"


def place(x_mm: float, y_mm: float) -> str:
    """
    A place of the layer.

    Example:
        >>> place(1, -0.001)
        '(1.00, 0.00)'
    """
    return f"({x_mm:z.2f}, {y_mm:z.2f})"


def way(x_mm: float, y_mm: float) -> str:
    """
    How far something has moved, to the micrometre.

    Example:
        >>> way(12.7, -0.003)
        '(12.70, -0.003) mm'
    """
    return f"({x_mm:z.3f}".removesuffix("0") + f", {y_mm:z.3f}".removesuffix("0") + ") mm"


def rows_told(rows: Rows, of: int) -> str:
    """The rows that some openings are in."""
    pitch = f"at {_pitch(rows)} mm pitch"
    part = "" if rows.openings == of else "most " if 2 * rows.openings >= of else "some "
    if rows.are_grid:
        return f"{part}in a grid {pitch}"
    number = _NUMBERS[rows.number] if rows.number < len(_NUMBERS) else rows.number
    return f"{part}in {number} row{'' if rows.number == 1 else 's'} {pitch}"


def _pitch(rows: Rows) -> str:
    """One figure, or from and to where they differ by more than what rounding does."""
    least, largest = rows.least_pitch_mm, rows.largest_pitch_mm
    if largest - least > _SAME_PITCH_MM:
        return f"{least:.2f} to {largest:.2f}"
    return side((least + largest) / 2)
