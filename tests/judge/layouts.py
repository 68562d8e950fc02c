"""Layers as people draw them, at random: rows, arrays, chips, lone openings; often too close and small."""

from typing import Final

import numpy as np
import shapely
import shapely.affinity

from pastecheck.measurements import Measurements
from tests.judge.slots import Slot, measured

_APART_MM: Final = 0.02
"""What would overlap is left out."""
_STEP_MM: Final = 0.005


class Drawer:
    """Draws blocks of openings one below the other."""

    def __init__(self, seed: int) -> None:
        self.chance = np.random.default_rng(seed)
        self.slots: list[Slot] = []

    def size(self, least_mm: float, most_mm: float) -> float:
        """A size in steps of 5 um."""
        return float(self.chance.integers(round(least_mm / _STEP_MM), round(most_mm / _STEP_MM))) * _STEP_MM

    def happens(self, share: float) -> bool:
        return bool(self.chance.random() < share)

    def count(self, least: int, most: int) -> int:
        return int(self.chance.integers(least, most + 1))

    def row(self, at: Slot) -> None:
        """A row of leads at any angle, sometimes off its pitch, with a wide land behind it."""
        width, length = self.size(0.1, 0.5), self.size(0.3, 2.5)
        pitch, angle = width + self.size(0.05, 0.4), np.radians(at.turned_deg)
        count = self.count(2, 8)
        for k in range(count):
            along = k * pitch + (self.chance.uniform(-0.002, 0.002) if self.happens(0.2) else 0.0)
            place = at.x_mm + along * np.cos(angle), at.y_mm + along * np.sin(angle)
            self.slots.append(Slot(*place, width, length, at.label, at.turned_deg))
        if self.happens(0.3):
            along = (count - 1) * pitch + width / 2 + self.size(0.1, 0.3) + 0.5
            place = at.x_mm + along * np.cos(angle), at.y_mm + along * np.sin(angle)
            self.slots.append(Slot(*place, 1.0, length, at.label, at.turned_deg))

    def array(self, at: Slot) -> None:
        """Balls, or panes."""
        across = self.size(0.15, 0.6)
        pitch, along = across + self.size(0.05, 0.4), 0.0 if self.happens(0.6) else across
        for i in range(self.count(1, 4)):
            for j in range(self.count(1, 4)):
                self.slots.append(Slot(at.x_mm + i * pitch, at.y_mm + j * pitch, across, along, at.label))

    def chips(self, at: Slot) -> None:
        """Pairs that face each other, sometimes unlike."""
        width, length = self.size(0.2, 1.0), self.size(0.2, 1.2)
        away = width + self.size(0.1, 0.5)
        for k in range(self.count(1, 3)):
            x_mm, label = at.x_mm + k * (2 * width + 1.0), f"{at.label}R{k}" if at.label else ""
            other = width + (self.size(0.0, 0.1) if self.happens(0.3) else 0.0)
            self.slots += [
                Slot(x_mm, at.y_mm, width, length, label),
                Slot(x_mm + away, at.y_mm, other, length, label),
            ]

    def anything(self, at: Slot) -> None:
        for _ in range(self.count(1, 5)):
            place = at.x_mm + self.size(0, 3), at.y_mm + self.size(0, 1.5)
            along = self.size(0.08, 3.5) if self.happens(0.8) else 0.0
            self.slots.append(Slot(*place, self.size(0.08, 1.2), along, at.label, at.turned_deg))

    def end_to_end(self, at: Slot) -> None:
        width, length = self.size(0.15, 0.5), self.size(0.4, 1.5)
        pitch = length + self.size(0.05, 0.4)
        for k in range(self.count(2, 4)):
            self.slots.append(Slot(at.x_mm, at.y_mm + k * pitch, width, length, at.label))


def layout(seed: int) -> list[Slot]:
    """One to three blocks of openings that do not overlap."""
    drawer = Drawer(seed)
    blocks = (drawer.row, drawer.array, drawer.chips, drawer.anything, drawer.end_to_end)
    for nth in range(drawer.count(1, 3)):
        turned_deg = float(drawer.chance.choice([0, 0, 0, 30, 45, 90]))
        label = f"U{nth}" if drawer.happens(0.7) else ""
        place = drawer.chance.uniform(0, 6), nth * float(drawer.chance.choice([1.7, 2.5, 4.0]))
        blocks[drawer.count(0, len(blocks) - 1)](Slot(*place, 0.0, 0.0, label, turned_deg))
    outlines: list[shapely.Polygon] = []
    kept = []
    for slot in drawer.slots:
        outline = _outline(slot)
        if all(outline.distance(other) > _APART_MM for other in outlines):
            outlines.append(outline)
            kept.append(slot)
    return kept


def _outline(slot: Slot) -> shapely.Polygon:
    if not slot.along_mm:
        return shapely.Point(slot.x_mm, slot.y_mm).buffer(slot.across_mm / 2)
    half_x, half_y = slot.across_mm / 2, slot.along_mm / 2
    box = shapely.box(slot.x_mm - half_x, slot.y_mm - half_y, slot.x_mm + half_x, slot.y_mm + half_y)
    return shapely.affinity.rotate(box, slot.turned_deg, origin=(slot.x_mm, slot.y_mm))


def pads(slots: list[Slot], seed: int) -> tuple[str, str]:
    """Copper and mask below openings, in commands; some pads are missing, shifted or of another size."""
    drawer = Drawer(seed)
    land: list[str] = []
    mask: list[str] = []
    for code, slot in enumerate(slots, 10):
        if drawer.happens(0.05):
            continue
        off_mm = float(drawer.chance.choice([0, 0, 0, 0.05, -0.1]))
        more_mm = float(drawer.chance.choice([0, 0, 0.05, 0.1, -0.03]))
        place = f"X{1e6 * (slot.x_mm + off_mm):.0f}Y{1e6 * slot.y_mm:.0f}"
        for drawn, around_mm in ((land, 0.0), (mask, 0.1)):
            sides = [max(side + more_mm, 0.08) + around_mm for side in (slot.across_mm, slot.along_mm)]
            size = f"R,{sides[0]:.4f}X{sides[1]:.4f}" if slot.along_mm else f"C,{sides[0]:.4f}"
            drawn += [f"%ADD{code}{size}*%", f"D{code}*", f"%LR{slot.turned_deg}*%", f"{place}D03*"]
    return "\n".join(land), "\n".join(mask)


def random_layer(seed: int, thickness_mm: float) -> Measurements:
    """A layer drawn at random."""
    return measured(layout(seed), thickness_mm)
