"""Gerber layer files -> Drawing. Knows the format, and no geometry library."""

import re

from pastecheck.drawing import Drawing
from pastecheck.gerber.attributes import COMMENT, attribute_of, fields_of
from pastecheck.gerber.interpreter import drawing_of
from pastecheck.gerber.lexer import decoded, statements_of
from pastecheck.limits import STANDARD, Limits

_FUNCTION = re.compile(rb"\.FileFunction\s*,")
_BEFORE_IT = re.compile(rf"[\s%]*(?:{COMMENT}\s*#@!\s*%?)?TF\s*".encode(), re.IGNORECASE)
"""What begins a statement that gives it: a command, or a comment that says it is one for programs."""


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


def file_functions(data: bytes) -> dict[str, int]:
    """
    Values of .FileFunction, without reading the rest: those that differ, with where each first stands.

    Example:
        >>> file_functions(b"%TF.FileFunction,Paste,Top*%G04 of a board with %TF.FileFunction,Copper,L1*M02*")
        {'Paste,Top': 3}
    """
    functions: dict[tuple[str, ...], tuple[str, int]] = {}
    end = -1  # of the statement before
    for found in _FUNCTION.finditer(data):
        if found.start() < end:
            continue
        begin = data.rfind(b"*", max(end, 0), found.start()) + 1
        if (end := data.find(b"*", found.end())) < 0:
            break
        if _BEFORE_IT.fullmatch(data, begin, found.start()):
            values = attribute_of("TF.FileFunction," + decoded(data[found.end() : end])).values
            function = ",".join(values).strip()
            functions.setdefault(fields_of(function), (function, found.start()))
    functions.pop(("",), None)
    return dict(functions.values())
