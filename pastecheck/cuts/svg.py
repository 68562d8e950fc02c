"""Paths in groups as the text of an SVG file. Text of others is escaped; nothing else is in it but paths."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple
from xml.sax.saxutils import escape

import numpy as np

from pastecheck.cuts.paths import mm_texts
from pastecheck.reporters._harmless import harmless
from pastecheck.units import NM_PER_MM

LINE_MM: Final = 0.05
"""Width of lines, for the eye: a cutter follows their middles."""
_AT_ONCE: Final = 20_000
_BEGIN: Final = '<path d="'
_END: Final = '"/>\n'
_BETWEEN: Final = _END + _BEGIN


class Group(NamedTuple):
    """What is cut before the next group is begun."""

    number: int
    """From 1, in cutting order."""
    name: str
    paths: tuple[str, ...]

    @property
    def id(self) -> str:
        """A name that XML takes."""
        return f"cut-{self.number}-{self.name.replace(' ', '-')}"


def document(
    width_mm: float, height_mm: float, title: str, notes: Sequence[str], groups: Sequence[Group]
) -> Iterator[str]:
    """
    An SVG file of a page, in pieces.

    Args:
        width_mm: Of the page; a unit of the drawing is a millimetre.
        height_mm: As well.
        title: Any text.
        notes: Any texts.
        groups: In cutting order.
    """
    width, height = mm_texts(np.rint(np.array([width_mm, height_mm]) * NM_PER_MM).astype(np.int64)).tolist()
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    yield '<?xml version="1.0" encoding="UTF-8"?>\n'
    yield f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>\n'
    yield f"<title>{_shown(title)}</title>\n"
    yield "<desc>\n" + "".join(f"{_shown(note)}\n" for note in notes) + "</desc>\n"
    yield f'<g id="cut" fill="none" stroke="#000000" stroke-width="{LINE_MM:g}">\n'
    for group in groups:
        yield f'<g id="{group.id}">\n'
        for begin in range(0, len(group.paths), _AT_ONCE):
            yield _BEGIN + _BETWEEN.join(group.paths[begin : begin + _AT_ONCE]) + _END
        yield "</g>\n"
    yield "</g>\n</svg>\n"


def _shown(text: str) -> str:
    return escape(harmless(text))
