"""What the deprecated commands AS, MI, IR and OF ask for (from memory)."""

import re
from typing import Final, NamedTuple

from pastecheck.gerber.apertures import IDENTITY, Matrix

_NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)"
IMAGE_COMMANDS: Final = {
    "AS": re.compile(r"A([XY])B([XY])"),
    "MI": re.compile(r"(?:A([01]))?(?:B([01]))?"),
    "IR": re.compile(r"0*(|90|180|270)(?:\.0*)?"),
    "OF": re.compile(rf"(?:A({_NUMBER}))?(?:B({_NUMBER}))?"),
}
_TURNS: Final[dict[str, Matrix]] = {
    "": IDENTITY,
    "90": (0.0, -1.0, 1.0, 0.0),
    "180": (-1.0, 0.0, 0.0, -1.0),
    "270": (0.0, 1.0, -1.0, 0.0),
}
_SWAP: Final[Matrix] = (0.0, 1.0, 1.0, 0.0)


class ImageChange(NamedTuple):
    """What one command does to the image."""

    matrix: Matrix
    offset: tuple[float, float]
    """In the file's unit."""
    statement: int = 0


NO_CHANGE: Final = ImageChange(IDENTITY, (0.0, 0.0))


def image_change(code: str, values: str) -> ImageChange | None:
    """What a command does, or None where its values make no sense."""
    found = IMAGE_COMMANDS[code].fullmatch(values)
    if not found:
        return None
    a, b = (*found.groups(), None)[:2]
    if code == "AS":
        axes = f"{a}{b}"
        return {"XY": NO_CHANGE, "YX": NO_CHANGE._replace(matrix=_SWAP)}.get(axes)
    if code == "MI":
        mirror = (-1.0 if a == "1" else 1.0, 0.0, 0.0, -1.0 if b == "1" else 1.0)
        return NO_CHANGE._replace(matrix=mirror)
    if code == "IR":
        return NO_CHANGE._replace(matrix=_TURNS[a or ""])
    return NO_CHANGE._replace(offset=(float(a or 0), float(b or 0)))
