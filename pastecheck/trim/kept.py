"""What a layer says of itself and of its board, kept where it holds for the trimmed layer too."""

import re
from typing import Final

from pastecheck.drawing import Attribute
from pastecheck.gerber.attributes import COMMENT, SOURCE_STEP, attribute_of
from pastecheck.trim.marks import ATTRIBUTE

_NOT_KEPT: Final = frozenset(
    {".GenerationSoftware", ".CreationDate", ".MD5", ".FileFunction", ".FilePolarity", ATTRIBUTE, SOURCE_STEP}
)
"""What is said anew, and what is true of the bytes of the source only."""
_STATEMENT: Final = re.compile(
    rb"%%\s*(TF[^%%*]*)\*|(?:^|[*%%\r\n])\s*%s\s*#@!\s*(TF[^%%*]*)\*" % COMMENT.encode()
)


def kept_attributes(content: bytes) -> tuple[Attribute, ...]:
    """
    File attributes of a layer, those in comments too; of each name the last one.

    Example:
        >>> kept_attributes(b"%TF.Part,Single*%G04 #@! TF.Part,Array*%TF.CreationDate,2026-01-01*%")
        (Attribute(kind='TF', name='.Part', values=('Array',)),)
    """
    found = [
        attribute_of((one[1] or one[2]).decode("utf-8", "replace").strip())
        for one in _STATEMENT.finditer(content)
    ]
    return tuple({one.name: one for one in found if one.name and one.name not in _NOT_KEPT}.values())
