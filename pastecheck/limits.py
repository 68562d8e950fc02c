"""How much of a file is read at most: a damaged or hostile one cannot take all memory. All can be raised."""

from dataclasses import dataclass, field, fields, replace
from typing import Final


def _limit(default: int, says: str) -> int:
    value: int = field(default=default, metadata={"says": says})
    return value


@dataclass(frozen=True, slots=True)
class Limits:
    """
    The most that is read of anything. Layers of real boards stay far below; none is a rule of the format.

    Example:
        >>> Limits().raised("objects", 8_000_000).objects
        8000000
    """

    objects: int = _limit(
        2_000_000, "flashes, strokes and contours of a layer, copies included; parts of apertures"
    )
    corners: int = _limit(10_000_000, "corners of contours, and strokes, of a layer, copies included")
    statements: int = _limit(4_000_000, "statements of a layer file")
    attributes: int = _limit(
        20_000_000,
        "attributes of what a layer draws, all counted again at each change; those that trim writes",
    )
    overlaps: int = _limit(2_000_000, "pairs of things drawn across each other in a layer")
    vertices: int = _limit(10_000_000, "vertices of outlines, curves flattened")
    crossings: int = _limit(10_000, "crossings of a contour with itself")
    merged: int = _limit(2_000_000, "vertices of copies that are merged into openings, again in each step")
    tangle: int = _limit(100_000, "vertices that come of things drawn across each other in one opening")
    neighbours: int = _limit(10_000_000, "pairs of openings near enough for the web between them to matter")
    macro_statements: int = _limit(10_000, "statements of an aperture macro")
    layer_mib: int = _limit(128, "size of a layer file in MiB")
    all_mib: int = _limit(512, "size of all layers of a folder or archive in MiB")
    archive_mib: int = _limit(512, "size of an archive in MiB")
    swelling: int = _limit(100, "how many times its packed size a large layer of an archive may have")
    known_mib: int = _limit(128, "size of an earlier report, for --known, in MiB")
    files: int = _limit(10_000, "files of a folder or archive")
    depth: int = _limit(4, "folders within folders that are looked into")

    def raised(self, name: str, value: int) -> "Limits":
        """
        The same with one limit set.

        Raises:
            ValueError: If there is no such limit, or it would be below 1.
        """
        field_name = name.replace("-", "_")
        if name not in NAMES:
            raise ValueError(f"there is no limit '{name}'")
        if value < 1:
            raise ValueError(f"the limit '{name}' has to be 1 at least")
        return replace(self, **{field_name: value})


STANDARD: Final = Limits()

NAMES: Final[dict[str, str]] = {
    one.name.replace("_", "-"): str(one.metadata["says"]) for one in fields(Limits)
}
"""Every limit as `--limit` names it, and what it bounds."""


def how_to_raise(name: str, wanted: int) -> str:
    """What a hint says of a limit that was passed."""
    return f"if it is meant to be so large, raise the limit: --limit {name}={wanted}"
