"""The film of a layer as the page draws it: from the squeegee's side, so that of the bottom from below."""

from typing import Final, NamedTuple

import numpy as np
from markupsafe import Markup

from pastecheck import pictures
from pastecheck.drawing import IntArray
from pastecheck.pictures.documents import described, seen_from
from pastecheck.pictures.palette import DARK, LIGHT, style_of
from pastecheck.report import LayerReport
from pastecheck.reporters._page.changed import Changed

DRAWN_UP_TO: Final = 200_000
"""Openings up to which a layer is drawn at all."""
_MARGIN_MM: Final = (0.4, 1.5)
"""About what is drawn, at least, and at most where it is small."""
_MARGIN: Final = (0.06, 0.02)
"""The same as shares of its longer side, of small layers and of large ones."""
_COLOURS: Final = {name: f"var(--{name})" for name in LIGHT}


class Picture(NamedTuple):
    """A drawing, and what is said of it."""

    svg: Markup
    is_still: bool
    said: str
    seen: str
    """From where, as part of that."""
    is_mirrored: bool
    said_before: str
    """Of the drawing of the layer as it was before it was changed; empty where there is none."""


def picture_of(
    layer: LayerReport,
    number: int,
    word: str,
    groups: IntArray,
    changed: Changed | None = None,
    *,
    is_still: bool,
) -> Picture | None:
    """
    The drawing of a layer that was kept to be drawn; None of one with too much to draw.

    Args:
        layer: With what it is drawn from.
        number: Of the layer on the page.
        word: What its foil is called.
        groups: Of each new finding the number of the group that it is told in, from 1, or 0.
        changed: What was done to it before it was judged.
        is_still: Whether no script moves the drawing.
    """
    if layer.drawn is None or layer.openings > DRAWN_UP_TO:
        return None
    is_mirrored = layer.side == "bottom"
    picture = pictures.picture_of(
        layer.drawn.openings,
        layer.drawn.board,
        layer,
        is_mirrored=is_mirrored,
        on_page=pictures.OnPage(groups, named=f"{number}-"),
    )
    before = _before(changed, is_mirrored=is_mirrored)
    low_x, low_y, high_x, high_y = _around(picture.bounds_mm, before.picture.bounds_mm if before else ())
    (least, most), (small, large) = _MARGIN_MM, _MARGIN
    longest = max(high_x - low_x, high_y - low_y)
    margin = max(least, min(small * longest, most), large * longest)
    box = low_x - margin, low_y - margin, high_x - low_x + 2 * margin, high_y - low_y + 2 * margin
    said = described(picture)
    svg = Markup(
        '<svg class="drawing" viewBox="{box}"{mirrored} role="img" '
        'aria-label="The {word}, drawn to scale: {said}">'
        '<g id="drawn-{number}">{body}</g>{before}{outlines}</svg>'
    ).format(
        number=number,
        word=word,
        mirrored=Markup(' data-mirrored="yes"') if is_mirrored else "",
        box=" ".join(f"{one:.4f}" for one in box),
        said=said,
        body=Markup(picture.body),  # noqa: S704 -- numbers throughout, no text of any file
        before=Markup(f'<g class="then">{before.picture.body}</g>') if before else "",  # noqa: S704 -- as above
        outlines=Markup(before.outlines) if before else "",  # noqa: S704 -- as above
    )
    said_before = described(before.picture) if before else ""
    return Picture(svg, is_still, said, seen_from(picture), is_mirrored, said_before)


class _Before(NamedTuple):
    """A layer as it was before it was changed."""

    picture: pictures.Picture
    outlines: str
    """Of what was changed, to lie over what it is now."""


def _before(changed: Changed | None, *, is_mirrored: bool) -> _Before | None:
    """As it was drawn, and what was found in it then; None where nothing was changed."""
    if changed is None or not changed.is_changed.any():
        return None
    drawn, rows = changed.drawn, np.flatnonzero(changed.is_changed)
    return _Before(
        pictures.picture_of(
            drawn, layer=changed.before, is_mirrored=is_mirrored, on_page=pictures.OnPage(named="before-")
        ),
        pictures.sketch_of(drawn, rows, "was", is_mirrored=is_mirrored),
    )


def _around(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    """A box about two, each min x, min y, max x, max y; of the other there may be none."""
    if not other:
        return one
    return (*map(min, one[:2], other[:2]), *map(max, one[2:], other[2:]))


def style() -> str:
    """How drawings look, in light and in the dark."""
    light, dark = (
        ":root{" + "".join(f"--{name}:{colour};" for name, colour in colours.items()) + "}"
        for colours in (LIGHT, DARK)
    )
    screen = style_of(_COLOURS)
    return f"{light}@media screen and (prefers-color-scheme:dark){{{dark}}}{screen}\n"
