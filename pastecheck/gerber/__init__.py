"""Gerber layer files -> Drawing. Knows the format, and no geometry library."""

import re

from pastecheck.drawing import Drawing
from pastecheck.gerber.attributes import attribute_of
from pastecheck.gerber.interpreter import drawing_of
from pastecheck.gerber.lexer import decoded, statements_of
from pastecheck.limits import STANDARD, Limits

_FUNCTION = re.compile(rb"TF\s*\.FileFunction\s*,([^*]*)\*")
_HEAD_BYTES = 20_000


def read(data: bytes, path: str, limits: Limits = STANDARD) -> Drawing:
    """
    What a layer file draws.

    Every statement is drawn, refused with its place or told as a diagnostic; none is dropped in silence.

    Args:
        data: The file.
        path: Its name, as errors show it.
        limits: How much is read at most.

    Raises:
        GerberSyntaxError: If it cannot be read.
        GerberUnsupportedError: If what it draws cannot be measured honestly.

    Source:
        The Gerber Layer Format Specification, Ucamco, revision 2023.08 (read as a summary).
    """
    return drawing_of(statements_of(data, path), limits)


def file_function(data: bytes) -> str:
    """Value of .FileFunction, such as `Paste,Top`, by a look at the head of a file; "" where it has none."""
    found = _FUNCTION.search(data[:_HEAD_BYTES])
    if not found:
        return ""
    return ",".join(attribute_of("TF.FileFunction," + decoded(found[1])).values).strip()
