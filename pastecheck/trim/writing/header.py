"""What a layer file says of itself."""

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from pastecheck import __version__
from pastecheck.gerber.attributes import Attribute
from pastecheck.trim.marks import ATTRIBUTE
from pastecheck.trim.writing.grid import Grid

_UNSAFE: Final = re.compile(r"[^ -~]|[%*,\\]")
"""What ends a statement or a field, or is no ASCII that can be printed."""


class Header(NamedTuple):
    """Attributes and comments of a layer."""

    function: str
    """Value of .FileFunction, its fields apart by commas; empty for none."""
    comments: tuple[str, ...]
    """One line each."""
    attributes: Sequence[Attribute] = ()
    """Further attributes of the file."""
    marks: Sequence[str] | None = None
    """What was done, by which a later run knows it; None for a layer that was not trimmed."""


def head(header: Header, grid: Grid) -> list[str]:
    """The beginning of a file: no clock, so that equal layers give equal bytes."""
    function = ",".join(escaped(field) for field in header.function.split(","))
    return [
        *(f"G04 {_comment(text)}*" for text in header.comments),
        f"%TF.GenerationSoftware,pastecheck,pastecheck,{escaped(__version__)}*%",
        *([f"%TF.FileFunction,{function}*%"] if function else []),
        "%TF.FilePolarity,Positive*%",
        *(f"%TF{','.join(map(escaped, (one.name, *one.values)))}*%" for one in header.attributes),
        *([] if header.marks is None else [f"%TF{','.join([ATTRIBUTE, *header.marks])}*%"]),
        *grid.statements,
    ]


def escaped(text: str) -> str:
    r"""
    A field of an attribute, whatever it holds.

    Example:
        >>> print(escaped("R1*%"))
        R1\u002A\u0025
    """
    return _UNSAFE.sub(lambda found: _code(found[0]), text)


def _comment(text: str) -> str:
    """A line of a comment; never one that programs take for an attribute (`#@!`)."""
    return "".join(_code(one) if _UNSAFE.match(one) and one != "," else one for one in text).replace(
        "#@!", ""
    )


def _code(character: str) -> str:
    number = ord(character)
    return f"\\u{number:04X}" if number <= 0xFFFF else f"\\U{number:08X}"
