"""The film of a layer as the page draws it: from the squeegee's side, as the file has it."""

from typing import Final, NamedTuple

from markupsafe import Markup

from pastecheck import pictures
from pastecheck.pictures.documents import described
from pastecheck.pictures.palette import DARK, LIGHT, style_of
from pastecheck.report import LayerReport

DRAWN_UP_TO: Final = 200_000
"""Openings up to which a layer is drawn at all."""
_MARGIN_MM: Final = 1.5
_COLOURS: Final = {name: f"var(--{name})" for name in LIGHT}


class Picture(NamedTuple):
    """A drawing, and what is said of it."""

    svg: Markup
    is_still: bool
    said: str


def picture_of(layer: LayerReport, number: int, *, is_still: bool) -> Picture | None:
    """The drawing of a layer that was kept to be drawn; None of one with too much to draw."""
    if layer.drawn is None or layer.openings > DRAWN_UP_TO:
        return None
    picture = pictures.picture_of(layer.drawn.openings, layer.drawn.board, layer)
    low_x, low_y, high_x, high_y = picture.bounds_mm
    box = (
        low_x - _MARGIN_MM,
        low_y - _MARGIN_MM,
        high_x - low_x + 2 * _MARGIN_MM,
        high_y - low_y + 2 * _MARGIN_MM,
    )
    said = described(picture)
    svg = Markup(
        '<svg class="drawing" viewBox="{box}" role="img" aria-label="The film, drawn to scale: {said}">'
        '<g id="drawn-{number}">{body}</g></svg>'
    ).format(
        number=number,
        box=" ".join(f"{one:.4f}" for one in box),
        said=said,
        body=Markup(picture.body),  # noqa: S704 -- numbers throughout, no text of any file
    )
    return Picture(svg, is_still, said)


def style() -> str:
    """How drawings look, in light and in the dark."""
    light, dark = (
        ":root{" + "".join(f"--{name}:{colour};" for name, colour in colours.items()) + "}"
        for colours in (LIGHT, DARK)
    )
    screen = style_of(_COLOURS)
    return f"{light}@media screen and (prefers-color-scheme:dark){{{dark}}}{screen}\n"
