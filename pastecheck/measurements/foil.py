"""The foil, and the sheet that it comes in."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Foil:
    """The sheet the openings are cut in, of any material."""

    name: str
    material: str
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """The foil as it goes into the cutter: its size, and how much at each edge the cutter cannot reach."""

    width_mm: float
    height_mm: float
    unusable_mm: float = 0.0

    @property
    def usable_mm(self) -> tuple[float, float]:
        """Width and height of what can be cut."""
        return self.width_mm - 2 * self.unusable_mm, self.height_mm - 2 * self.unusable_mm
