"""
Pictures that README shows, drawn anew from fixtures; with `--update-golden` they are written.

A place is rounded to the last digit that is written. Where it lies half way between two of them, the last
bit of a geometry library says which: another version of it, or of the machine's own functions, may say the
other. So numbers of the drawing are held to one step of their last digit, and everything else exactly.
"""

import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import zip_longest
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from pastecheck import board_files, layers, rulesets, run
from pastecheck.board_files import Option
from pastecheck.pictures import on_paper, picture_of

KNIFE = "polyester-75-knife"
PASTE, OUTLINE = "greenhouse-logger-paste-top.gbr", "greenhouse-logger-outline.gbr"
MOST_BYTES = 60_000
MEASURED = ("d", "transform", "width", "height", "viewBox", "x", "y", "style")
"""Attributes that hold places and lengths."""
NUMBER = re.compile(r"-?\d*\.?\d+")
STROKES = {"m": 2, "l": 2, "h": 1, "v": 1, "a": 7, "z": 0}
"""Commands of paths, and how many numbers each takes at a time."""


def board(fixtures: Path) -> str:
    """The top of the demo board, as it was first drawn, within its outline."""
    return _drawn(fixtures / "boards/greenhouse-logger-a", PASTE, OUTLINE)


def mended_board(fixtures: Path) -> str:
    """The top of its next revision, in which nothing is found."""
    return _drawn(fixtures / "boards/greenhouse-logger-b", PASTE, OUTLINE)


def narrow_places(fixtures: Path) -> str:
    """How places are marked that are narrower than the rule set allows."""
    return _drawn(fixtures / "pictures", "narrow-places.gbr")


def _drawn(folder: Path, name: str, *beside: str) -> str:
    named = {Option.OUTLINE: [str(folder / one) for one in beside]}
    files = board_files.board_files_of(named)
    found = layers.layers_of([str(folder / name)])
    report, (seen,) = run.seen_and_checked(found, rulesets.load(KNIFE), board_files=files)
    assert seen.openings is not None
    return on_paper([picture_of(seen.openings, seen.board, report.layers[0])], name).text


@pytest.mark.parametrize("draw", [board, mended_board, narrow_places])
def test_pictures_of_readme_are_as_the_program_draws_them(
    draw: Callable[[Path], str], fixtures: Path, *, update_golden: bool
) -> None:
    place = fixtures / "pictures" / f"{draw.__name__.replace('_', '-')}.svg"
    drawn = draw(fixtures)
    if update_golden:
        place.write_text(drawn, encoding="utf-8", newline="\n")
    kept = place.read_text(encoding="utf-8")
    assert not list(unlike(kept, drawn)), f"{place.name} is old: pytest --update-golden"
    assert len(drawn.encode()) < MOST_BYTES


def unlike(one: str, other: str) -> Iterator[str]:
    """What two pictures differ in by more than one step of a last digit."""
    for mine, its in zip_longest(ET.fromstring(one).iter(), ET.fromstring(other).iter()):
        if mine is None or its is None:
            yield "one has more in it"
            return
        if (mine.tag, mine.text, list(mine.attrib)) != (its.tag, its.text, list(its.attrib)):
            yield f"{mine.tag} {mine.attrib} is {its.tag} {its.attrib}"
            continue
        for name in mine.attrib:
            a, b = mine.attrib[name], its.attrib[name]
            if name == "d":
                a, b = written_out(a), written_out(b)
            if a != b and not (name in MEASURED and are_near(a, b)):
                yield f"{mine.tag} {name}: {a} is {b}"


def are_near(one: str, other: str) -> bool:
    """Whether texts differ in numbers only, and these by no more than one step of their last digits."""
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    for a, b in zip(NUMBER.findall(one), NUMBER.findall(other), strict=True):
        last = max(Decimal(text).as_tuple().exponent for text in (a, b))
        if abs(Decimal(a) - Decimal(b)) > Decimal((0, (1,), int(last))):
            return False
    return True


def written_out(path: str) -> str:
    """
    Path data with each place by itself, and what is no number as letters.

    As it is drawn, one place that moves by a step changes the way to the next as well; and a level line may
    become one that is not, which is another command.

    Example:
        >>> written_out("M1 2h3l-1 1a5 5 0 0 1 2 2z")
        'M1 2L4 2L3 3A5 5 no,no,yes 5 5Z'
    """
    pen = start = (Decimal(0), Decimal(0))
    told = []
    for command, of_it in re.findall(r"([A-Za-z])([^A-Za-z]*)", path):
        numbers = [Decimal(number) for number in NUMBER.findall(of_it)]
        kind, size = command.lower(), STROKES[command.lower()]
        for first in range(0, len(numbers), size or 1):
            some = numbers[first : first + size]
            x, y = {"h": (some[-1], Decimal(0)), "v": (Decimal(0), some[-1])}.get(kind, tuple(some[-2:]))
            pen = (x, y) if command.isupper() else (pen[0] + x, pen[1] + y)
            start = pen if kind == "m" else start
            radii = f"{some[0]} {some[1]} " if kind == "a" else ""
            flags = f"{','.join('yes' if one else 'no' for one in some[2:5])} " if kind == "a" else ""
            told.append(f"{'L' if kind in 'hvl' else kind.upper()}{radii}{flags}{pen[0]} {pen[1]}")
        if kind == "z":
            pen = start
            told.append("Z")
    return "".join(told)


def test_a_step_of_the_last_digit_is_no_other_picture_and_more_is() -> None:
    picture = '<svg width="9.1mm"><g class="a"><path class="b" d="M10 20h5v5h-5z"/></g></svg>'
    for same in (
        picture,
        picture.replace("9.1", "9.2"),
        # the second corner one step higher, and the third where it was: the level line is a slanting one
        picture.replace("h5v5", "l5 1v4"),
    ):
        assert not list(unlike(picture, same))
    for other in (
        picture.replace("9.1", "9.3"),
        picture.replace("h5v5", "l5 2v3"),
        picture.replace('"b"', '"c"'),
        picture.replace("h5v5", "h5v5v1"),
        picture.replace("<g", "<g/><g"),
        picture.replace("<path", "words<path"),
    ):
        assert list(unlike(picture, other))
