"""A picture in pixels, with its size on paper."""

import struct
import zlib
from typing import Final

from pastecheck.errors import UsageError
from pastecheck.pictures.documents import Paper
from pastecheck.source import Span
from pastecheck.units import MM_PER_INCH

MOST_PIXELS: Final = 200_000_000
"""They take 4 bytes each while they are drawn, and as much again when they are packed."""
_AFTER_HEADER: Final = 33
"""Of a PNG file: 8 bytes that say what it is, and its first chunk."""
_MM_PER_M: Final = 1000


def rendered(paper: Paper, dpi: int) -> bytes:
    """
    A picture as a PNG file, which is as large on paper as the SVG document.

    It takes resvg-py: no font, no system library, and what it draws is the document itself, so both agree.

    Raises:
        UsageError: If that is not installed, or there were too many pixels.
    """
    width, height = (side * dpi / MM_PER_INCH for side in paper.size_mm)
    if width * height > MOST_PIXELS:
        fits = int(dpi * (MOST_PIXELS / (width * height)) ** 0.5)
        text = f"at {dpi} dots an inch the picture has {width:.0f} x {height:.0f} pixels"
        raise UsageError(text, Span("pastecheck"), f"write --dpi {fits}, or a file that ends in .svg")
    try:
        import resvg_py  # noqa: PLC0415 -- nobody else waits for it, nor has to have it
    except ImportError:
        hint = "pip install 'pastecheck[png]', or name a file that ends in .svg"
        text = "a picture in pixels takes the package resvg-py, which is not installed"
        raise UsageError(text, Span("pastecheck"), hint) from None
    drawn = bytes(resvg_py.svg_to_bytes(svg_string=paper.text, dpi=float(dpi), skip_system_fonts=True))
    return drawn[:_AFTER_HEADER] + _size_on_paper(dpi) + drawn[_AFTER_HEADER:]


def _size_on_paper(dpi: int) -> bytes:
    """The chunk that tells how many pixels there are to a metre."""
    each = round(dpi * _MM_PER_M / MM_PER_INCH)
    content = b"pHYs" + struct.pack(">IIB", each, each, 1)
    return struct.pack(">I", len(content) - 4) + content + struct.pack(">I", zlib.crc32(content))
