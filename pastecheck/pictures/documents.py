"""A picture as a file of its own: 1 : 1 on paper, with a scale bar and what it shows in words."""

from collections.abc import Iterator
from typing import Final
from xml.sax.saxutils import escape

from pastecheck.pictures.lettering import path_of
from pastecheck.pictures.palette import DARK, LIGHT, style_of
from pastecheck.pictures.picture import Picture

MARGIN_MM: Final = 2.0
"""About all that is drawn."""
_LEAST_MM: Final = 30.0
"""So wide at least is a picture, for what stands below it."""
_HEIGHT_MM: Final = 1.4
"""Of figures below."""
_SEEN: Final = {
    ("top", False): "top, seen from above",
    ("top", True): "top, mirrored",
    ("bottom", False): "bottom, seen through the board",
    ("bottom", True): "bottom, seen from below",
    ("unknown", False): "as drawn in the file",
    ("unknown", True): "mirrored",
}
_BARS_MM: Final = (100, 50, 20, 10, 5, 2, 1)


def written(picture: Picture, title: str, words: str = "") -> Iterator[str]:
    """
    A picture as an SVG document, in millimetres.

    Args:
        picture: What is drawn.
        title: What it is of; escaped here, as it may come from a file.
        words: What it shows, for those who hear it read.
    """
    low_x, low_y, high_x, high_y = picture.bounds_mm
    spare = max(0.0, _LEAST_MM - (high_x - low_x) - 2 * MARGIN_MM) / 2
    x, y = low_x - MARGIN_MM - spare, low_y - MARGIN_MM
    width, height = high_x - low_x + 2 * (MARGIN_MM + spare), high_y - low_y + 2 * MARGIN_MM
    mark_mm = min(max((width**2 + height**2) ** 0.5 / 60, 0.9), 3.0)
    below = _below(picture, x + MARGIN_MM, y + height, width - 2 * MARGIN_MM)
    tall = height + len(below) * 2 * _HEIGHT_MM + 0.5 * _HEIGHT_MM
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{tall:.4f}mm" '
        f'viewBox="{x:.4f} {y:.4f} {width:.4f} {tall:.4f}" role="img" aria-labelledby="title desc">'
        f'<title id="title">{escape(title)}</title><desc id="desc">{escape(words)}</desc>'
        f"<style>{style_of(LIGHT, mark_mm)}@media screen and (prefers-color-scheme:dark)"
        f"{{{style_of(DARK, mark_mm)}}}</style>"
        f'<g class="film"><rect class="paper" x="{x:.4f}" y="{y:.4f}" width="{width:.4f}" '
        f'height="{tall:.4f}"/><rect class="sheet" x="{x:.4f}" y="{y:.4f}" width="{width:.4f}" '
        f'height="{height:.4f}"/></g>'
    )
    yield picture.body
    yield f'<g class="film"><g class="letters">{"".join(below)}</g></g></svg>\n'


def _below(picture: Picture, x: float, y: float, width: float) -> list[str]:
    """Lines below the picture: a scale bar, which way it is seen, and what the marks say."""
    bar = next((one for one in _BARS_MM if one <= 0.6 * width), 1)
    lines = [_bar(x, y + 2 * _HEIGHT_MM, bar)]
    seen = _SEEN[picture.side, picture.is_mirrored]
    lines.append(_letters(seen, x, y + 4 * _HEIGHT_MM))
    return lines


def _bar(x: float, y: float, length: int) -> str:
    tick = _HEIGHT_MM / 2
    path = f'<path style="stroke-width:.2" d="M{x:.4f} {y - tick:.4f}v{tick:g}h{length}v{-tick:g}"/>'
    return path + _letters(f"{length} mm", x + length + _HEIGHT_MM / 2, y)


def _letters(text: str, x: float, y: float) -> str:
    scale = _HEIGHT_MM / 6
    return f'<path transform="translate({x:.4f} {y:.4f})scale({scale:g})" d="{path_of(text)}"/>'
