"""Gerber layer files -> Drawing. Knows the format, and no geometry library."""

import re

from pastecheck.drawing import Drawing
from pastecheck.gerber.attributes import attribute_of
from pastecheck.gerber.interpreter import drawing_of
from pastecheck.gerber.lexer import decoded, statements_of
from pastecheck.limits import STANDARD, Limits

_FUNCTION = re.compile(rb"\.FileFunction\s*,")
_OF_THE_FILE = re.compile(rb"(?:[%*]|#@!)\s*[Tt][Ff]\s*\Z")
"""Behind a percent sign or another statement, or in a comment that says it is one for programs."""
_BEFORE_IT = 100


def read(data: bytes, path: str, limits: Limits = STANDARD, *, negative: bool = False) -> Drawing:
    """
    What a layer file draws.

    Every statement is drawn, refused with its place or told as a diagnostic; none is dropped in silence.

    Args:
        data: The file.
        path: Its name, as errors show it.
        limits: How much is read at most.
        negative: Whether a negative image is read as it is drawn, and not refused. That of a solder mask
            draws the openings either way.

    Raises:
        GerberSyntaxError: If it cannot be read.
        GerberUnsupportedError: If what it draws cannot be measured honestly.

    Source:
        The Gerber Layer Format Specification, Ucamco, revision 2023.08 (read as a summary).
    """
    return drawing_of(statements_of(data, path, limits.statements), limits, negative=negative)


def file_function(data: bytes) -> str:
    """Value of .FileFunction, such as `Paste,Top`, without reading the rest; "" where a file has none."""
    for found in _FUNCTION.finditer(data):
        if _OF_THE_FILE.search(data, max(found.start() - _BEFORE_IT, 0), found.start()):
            value = data[found.end() :].partition(b"*")[0]
            return ",".join(attribute_of("TF.FileFunction," + decoded(value)).values).strip()
    return ""
