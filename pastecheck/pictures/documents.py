"""Pictures as a file of its own: 1 : 1 on paper, with a scale bar and in words what there is to see."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from html import escape
from typing import Final, NamedTuple

from pastecheck.pictures.lettering import path_of, width_of
from pastecheck.pictures.palette import DARK, LIGHT, style_of
from pastecheck.pictures.picture import Picture

MARGIN_MM: Final = 2.0
"""About all that is drawn, and between pictures that stand side by side."""
_LEAST_MM: Final = 14.0
"""So wide at least is a picture, for what stands below it."""
_OF_THE_WIDEST: Final = 0.6
"""And so wide beside a wider one, with film left over at its sides, as letters below both are equal."""
_MARKS_MM: Final = (0.8, 3.0)
"""Marks are larger in larger pictures, within these bounds."""
_FIGURES_MM: Final = (0.5, 6.0)
"""Figures below as well."""
_LINE: Final = 1.9
"""From one line of letters to the next, in heights of figures."""
_SEEN: Final = {
    ("top", False): "top, seen from above",
    ("top", True): "top, seen through the board",
    ("bottom", False): "bottom, seen through the board",
    ("bottom", True): "bottom, seen from below",
    ("unknown", False): "as the file has it",
    ("unknown", True): "mirrored",
}
_WORDS: Final = {"error": "errors", "warning": "warnings", "settled": "known or waived"}
_BARS_MM: Final = (100, 50, 20, 10, 5, 2, 1)


class _Frame(NamedTuple):
    """Where a picture goes, in mm."""

    picture: Picture
    width: float
    height: float
    """Of the film shown."""
    spare: float
    """Left of what is drawn, and right of it."""


class _Item(NamedTuple):
    """One of the things below a picture."""

    width: float
    drawn: Callable[[float, float], str]
    """At the left end of a base line."""


class Paper(NamedTuple):
    """An SVG document, in millimetres."""

    size_mm: tuple[float, float]
    """Width and height."""
    text: str


def on_paper(pictures: Sequence[Picture], title: str) -> Paper:
    """
    Pictures side by side.

    Args:
        pictures: Layers of one board, one at least.
        title: What it is of; escaped here, as it may come from a file.
    """
    widest_mm = max(_width_mm(picture) for picture in pictures)
    frames = [_frame(picture, max(_LEAST_MM, _OF_THE_WIDEST * widest_mm)) for picture in pictures]
    width = sum(frame.width for frame in frames) + MARGIN_MM * (len(frames) - 1)
    height = max(frame.height for frame in frames)
    figures_mm = _within(min(frame.width for frame in frames) / 46, _FIGURES_MM)
    below = [_lines(_items(frame, figures_mm), frame.width - 2 * MARGIN_MM, figures_mm) for frame in frames]
    tall = height + (max(map(len, below)) + 0.4) * _LINE * figures_mm
    words = ". ".join(described(picture) for picture in pictures)
    parts = [_head((width, tall), title, words, _within((width**2 + height**2) ** 0.5 / 60, _MARKS_MM))]
    x = 0.0
    for frame, lines in zip(frames, below, strict=True):
        parts += [*_film(frame, x, height), *_placed(lines, x + MARGIN_MM, height, figures_mm)]
        x += frame.width + MARGIN_MM
    return Paper((width, tall), "".join([*parts, "</svg>\n"]))


def described(picture: Picture) -> str:
    """What a picture shows, in words, for those who hear it read."""
    every = [seen_from(picture), _many(picture.openings, "opening")]
    every += [text for _, text in _marks_told(picture)]
    return "; ".join([*every, *picture.left_out])


def seen_from(picture: Picture) -> str:
    """Which side of a board a picture shows, and from where."""
    return _SEEN[picture.side, picture.is_mirrored]


def _marks_told(picture: Picture) -> list[tuple[str, str]]:
    """Levels of which there are marks, the worst first, and how many."""
    return [
        (level, f"{words} in {_many(picture.places[level], 'place')}")
        for level, words in _WORDS.items()
        if picture.places[level]
    ]


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _width_mm(picture: Picture) -> float:
    low_x, _, high_x, _ = picture.bounds_mm
    return high_x - low_x + 2 * MARGIN_MM


def _frame(picture: Picture, least_mm: float) -> _Frame:
    _, low_y, _, high_y = picture.bounds_mm
    own, width = _width_mm(picture), max(_width_mm(picture), least_mm)
    return _Frame(picture, width, high_y - low_y + 2 * MARGIN_MM, MARGIN_MM + (width - own) / 2)


def _within(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])


def _head(size_mm: tuple[float, float], title: str, words: str, mark_mm: float) -> str:
    """How the document begins: its size on paper, what it is, how it is drawn."""
    width, height = size_mm
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="0 0 {width:.4f} {height:.4f}" role="img" aria-labelledby="title words">'
        f'<title id="title">{_text(title)}</title><desc id="words">{_text(words)}</desc>'
        f"<style>{style_of(LIGHT, mark_mm)}@media screen and (prefers-color-scheme:dark)"
        f"{{{style_of(DARK, mark_mm)}}}</style>"
        f'<g class="film"><rect class="paper" width="{width:.4f}" height="{height:.4f}"/></g>'
    )


def _text(text: str) -> str:
    """As text of a document, in which not every character may stand."""
    return escape("".join(letter if letter.isprintable() else "\ufffd" for letter in text))


def _film(frame: _Frame, x: float, height: float) -> Iterator[str]:
    """A picture on its film, whose upper left corner is at x."""
    low_x, low_y, _, high_y = frame.picture.bounds_mm
    to_x, to_y = x + frame.spare - low_x, (height - high_y - low_y) / 2
    yield f'<g class="film"><rect class="sheet" x="{x:.4f}" width="{frame.width:.4f}" '
    yield f'height="{height:.4f}"/></g><g transform="translate({to_x:.4f} {to_y:.4f})">'
    yield f"{frame.picture.body}</g>"


def _items(frame: _Frame, height: float) -> list[_Item]:
    """A scale bar, the way it is seen, and what the marks mean."""
    bar = next((one for one in _BARS_MM if one <= 0.6 * frame.width), 1)
    items = [
        _Item(bar + _aside(height) + width_of(f"{bar} mm", height), partial(_bar, bar, height)),
        _lettered(seen_from(frame.picture), height),
    ]
    for level, text in _marks_told(frame.picture):
        width = height + _aside(height) + width_of(text, height)
        items.append(_Item(width, partial(_mark, level, text, height)))
    return items + [_lettered(text, height) for text in frame.picture.left_out]


def _lettered(text: str, height: float) -> _Item:
    return _Item(width_of(text, height), partial(_letters, text, height))


def _lines(items: list[_Item], width: float, height: float) -> list[list[_Item]]:
    """Items in lines, as many in each as there is room for; one that is too long stands alone."""
    lines: list[list[_Item]] = [[]]
    taken = 0.0
    for item in items:
        if lines[-1] and taken + item.width > width:
            lines.append([])
            taken = 0.0
        lines[-1].append(item)
        taken += item.width + 2 * height
    return lines


def _placed(lines: list[list[_Item]], x: float, y: float, height: float) -> Iterator[str]:
    yield '<g class="film"><g class="letters">'
    for nth, line in enumerate(lines):
        at = x
        for item in line:
            yield item.drawn(at, y + (nth + 0.9) * _LINE * height)
            at += item.width + 2 * height
    yield "</g></g>"


def _aside(height: float) -> float:
    """From a sign to the words that belong to it."""
    return height / 2


def _bar(length: int, height: float, x: float, y: float) -> str:
    tick = 0.6 * height
    path = f"M{x:.4f} {y - tick:.4f}v{tick:g}h{length}v{-tick:g}"
    bar = f'<path style="stroke-width:{height / 8:.3f}" d="{path}"/>'
    return bar + _letters(f"{length} mm", height, x + length + _aside(height), y)


def _mark(level: str, text: str, height: float, x: float, y: float) -> str:
    """A mark as it stands in the picture, and what it means."""
    form = "l.001 .001" if level == "error" else "h.001"
    size = 0.75 * height if level == "error" else height
    at = f"M{x + height / 2:.4f} {y - height / 2:.4f}{form}"
    parts = "".join(
        f'<path class="{part} {level}" style="stroke-width:{size * share:.4f}" d="{at}"/>'
        for part, share in (("halo", 1.0), ("inner", 0.7))
    )
    return parts + _letters(text, height, x + height + _aside(height), y)


def _letters(text: str, height: float, x: float, y: float) -> str:
    return f'<path transform="translate({x:.4f} {y:.4f})scale({height / 6:.4f})" d="{path_of(text)}"/>'
