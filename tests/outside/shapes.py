"""Random shapes told twice: as Gerber statements, and as a closed form that says which points lie inside."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray

Inside = Callable[[FloatArray, FloatArray], BoolArray]

RECTANGLE, CIRCLE, OBROUND, ROUNDED, ELL, YOU = range(6)


@dataclass(frozen=True)
class Shape:
    """A shape about (0, 0), turned and then moved."""

    kind: int
    width_mm: float
    height_mm: float
    arm_mm: float
    """Corner radius of a rounded rectangle, width of the arms of an L or a U."""
    turn_deg: float
    x_mm: float
    y_mm: float

    @property
    def reach_mm(self) -> float:
        """No point is farther from the centre."""
        return float(np.hypot(self.width_mm, self.height_mm)) / 2

    def contains(self, x_mm: FloatArray, y_mm: FloatArray) -> BoolArray:
        """Which points lie inside."""
        turn = np.radians(self.turn_deg)
        dx, dy = x_mm - self.x_mm, y_mm - self.y_mm
        u = np.cos(turn) * dx + np.sin(turn) * dy
        v = np.cos(turn) * dy - np.sin(turn) * dx
        return INSIDE[self.kind](self, u, v)

    def gerber(self, code: int) -> str:
        """Statements that draw it in millimetres, format 4.6, with an aperture of this number."""
        place = f"X{self.x_mm * 1e6:.0f}Y{self.y_mm * 1e6:.0f}D03*"
        if self.kind in CORNERS:
            return self._region()
        if self.kind == ROUNDED:
            return f"{self._macro(code)}%ADD{code}ROUNDED{code}*%\nD{code}*\n{place}\n"
        sizes = f"{self.width_mm:.3f}" if self.kind == CIRCLE else f"{self.width_mm:.3f}X{self.height_mm:.3f}"
        template = {RECTANGLE: "R", CIRCLE: "C", OBROUND: "O"}[self.kind]
        turned = f"%LR{self.turn_deg:.6f}*%\nD{code}*\n{place}\n%LR0*%\n"
        return f"%ADD{code}{template},{sizes}*%\n{turned}"

    def _macro(self, code: int) -> str:
        w, h, r, turn = self.width_mm, self.height_mm, self.arm_mm, f"{self.turn_deg:.6f}"
        bars = [f"21,1,{w:.3f},{h - 2 * r:.3f},0,0,{turn}", f"21,1,{w - 2 * r:.3f},{h:.3f},0,0,{turn}"]
        discs = [
            f"1,1,{2 * r:.3f},{sx * (w / 2 - r):.4f},{sy * (h / 2 - r):.4f},{turn}"
            for sx in (-1, 1)
            for sy in (-1, 1)
        ]
        return f"%AMROUNDED{code}*" + "*\n".join([*bars, *discs]) + "*%\n"

    def _region(self) -> str:
        turn = np.radians(self.turn_deg)
        u, v = np.array(CORNERS[self.kind](self)).T
        x_nm = np.rint((self.x_mm + np.cos(turn) * u - np.sin(turn) * v) * 1e6)
        y_nm = np.rint((self.y_mm + np.sin(turn) * u + np.cos(turn) * v) * 1e6)
        points = [f"X{x:.0f}Y{y:.0f}" for x, y in zip(x_nm, y_nm, strict=True)]
        lines = [f"{points[0]}D02*", "G01*", *(f"{point}D01*" for point in (*points[1:], points[0]))]
        return "\n".join(["G36*", *lines, "G37*", ""])


def _box(u: FloatArray, v: FloatArray, width_mm: float, height_mm: float) -> BoolArray:
    return (np.abs(u) <= width_mm / 2) & (np.abs(v) <= height_mm / 2)


def _rounded(shape: Shape, radius_mm: float, u: FloatArray, v: FloatArray) -> BoolArray:
    beyond_u = np.maximum(np.abs(u) - (shape.width_mm / 2 - radius_mm), 0.0)
    beyond_v = np.maximum(np.abs(v) - (shape.height_mm / 2 - radius_mm), 0.0)
    return np.hypot(beyond_u, beyond_v) <= radius_mm


def _ell(shape: Shape, u: FloatArray, v: FloatArray) -> BoolArray:
    notched = (u > shape.arm_mm - shape.width_mm / 2) & (v > shape.arm_mm - shape.height_mm / 2)
    return _box(u, v, shape.width_mm, shape.height_mm) & ~notched


def _you(shape: Shape, u: FloatArray, v: FloatArray) -> BoolArray:
    slot = (np.abs(u) < shape.width_mm / 2 - shape.arm_mm) & (v > shape.arm_mm - shape.height_mm / 2)
    return _box(u, v, shape.width_mm, shape.height_mm) & ~slot


INSIDE: dict[int, Callable[[Shape, FloatArray, FloatArray], BoolArray]] = {
    RECTANGLE: lambda s, u, v: _box(u, v, s.width_mm, s.height_mm),
    CIRCLE: lambda s, u, v: np.hypot(u, v) <= s.width_mm / 2,
    OBROUND: lambda s, u, v: _rounded(s, min(s.width_mm, s.height_mm) / 2, u, v),
    ROUNDED: lambda s, u, v: _rounded(s, s.arm_mm, u, v),
    ELL: _ell,
    YOU: _you,
}


def _corners_of_ell(s: Shape) -> list[tuple[float, float]]:
    left, low, right, high = -s.width_mm / 2, -s.height_mm / 2, s.width_mm / 2, s.height_mm / 2
    return [
        (left, low),
        (right, low),
        (right, low + s.arm_mm),
        (left + s.arm_mm, low + s.arm_mm),
        (left + s.arm_mm, high),
        (left, high),
    ]


def _corners_of_you(s: Shape) -> list[tuple[float, float]]:
    left, low, right, high = -s.width_mm / 2, -s.height_mm / 2, s.width_mm / 2, s.height_mm / 2
    return [
        (left, low),
        (right, low),
        (right, high),
        (right - s.arm_mm, high),
        (right - s.arm_mm, low + s.arm_mm),
        (left + s.arm_mm, low + s.arm_mm),
        (left + s.arm_mm, high),
        (left, high),
    ]


CORNERS = {ELL: _corners_of_ell, YOU: _corners_of_you}


def random_shape(random: np.random.Generator, x_mm: float, y_mm: float) -> Shape:
    """A shape of 0.1 to 0.4 mm, every kind as likely, upright one time in four; sizes in whole 2 um."""
    kind = int(random.integers(6))
    width, height = random.integers(50, 201, 2) * 0.002
    least = float(min(width, height))
    arm = {ROUNDED: least * random.uniform(0.1, 0.45), ELL: least * 0.4, YOU: least * 0.3}.get(kind, 0.0)
    turn = 0.0 if random.random() < 0.25 else round(float(random.uniform(0, 360)), 6)
    return Shape(
        kind,
        round(float(width), 3),
        round(float(width if kind == CIRCLE else height), 3),
        round(float(arm), 3),
        turn,
        round(x_mm, 3),
        round(y_mm, 3),
    )
