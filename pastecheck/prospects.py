"""
What it takes to say how a layer would do in another foil, or with all its openings made smaller.

Plain frozen data: of each distinct outline, of pairs of openings and of openings in rows, the numbers that
depend on neither or that change with what is taken off. Whoever holds them against limits needs no geometry.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray

INSETS_MM: Final = np.arange(21) * 0.005
"""What may be taken off all around each opening: to 0.1 mm, in steps of 5 um."""
INSETS_MM.flags.writeable = False

MOST_OPENINGS: Final = 30_000
"""Openings of a layer up to which it is worth the room of a page to say what would become of each."""
MOST_TABLES: Final = 3_000
"""Outlines that are in no closed form, up to which that is so."""


@dataclass(frozen=True, eq=False, slots=True)
class Outlines:
    """
    Distinct outlines, s of them; those with a core that is a rectangle, line or point are in closed form.

    Such an outline is all within `radius_mm` of its core; with d taken off, the radius is less by d, and
    where that is less than 0, the core less by 2 (d - radius) in both directions.
    """

    core_mm: FloatArray
    """Length and width of the core; NaN where the outline is in the tables. Shape (s, 2)."""
    radius_mm: FloatArray
    table: IntArray
    """Row of the tables below; -1 for closed forms. Shape (s,)."""
    area_mm2: FloatArray
    """With so much taken off as `INSETS_MM` says; 0 where nothing is left. Shape (u, k)."""
    over_mm: FloatArray
    """Area over perimeter, of the worst part where the outline falls apart. Shape (u, k)."""
    width_mm: FloatArray
    """Of the narrowest part. Shape (u, k)."""
    across_mm: FloatArray
    """Narrowest place, width or neck. Shape (s,)."""
    neck_mm: FloatArray
    """Neck as the check neck-width reads it; NaN where it has none. Shape (s,)."""
    share_off: FloatArray
    """Error bound of area over perimeter, as a share of it. Shape (s,)."""
    width_off_mm: FloatArray
    """Shape (s,)."""
    across_off_mm: FloatArray
    """Shape (s,)."""
    neck_off_mm: FloatArray
    """Shape (s,)."""
    area_off_mm2: FloatArray
    """Shape (s,)."""


@dataclass(frozen=True, eq=False, slots=True)
class NarrowWebs:
    """Webs that fail as drawn; they only grow when openings shrink. Columns of shape (w,)."""

    first: IntArray
    """Row of an opening, from 0."""
    second: IntArray
    gap_mm: FloatArray
    off_mm: FloatArray
    table: IntArray
    """Row of `grown_mm`; -1 where the web is the gap and twice what is taken off."""
    grown_mm: FloatArray
    """The web, by `INSETS_MM`; NaN where one of the two has vanished. Shape (v, k)."""


@dataclass(frozen=True, eq=False, slots=True)
class WideLeads:
    """Leads whose share of the pitch fails as drawn; it falls when openings shrink. Columns of shape (l,)."""

    opening: IntArray
    fraction: FloatArray
    pitch_mm: FloatArray
    gap_mm: FloatArray
    """Between it and the next; it grows when openings shrink."""
    gaps_below_mm: float
    """Leads that leave so much between them are not judged."""
    off: FloatArray


@dataclass(frozen=True, eq=False, slots=True)
class Heights:
    """Lands with the share of them that is open; columns of shape (h,)."""

    opening: IntArray
    """The opening that the height is told of."""
    coverage: FloatArray
    off: FloatArray


@dataclass(frozen=True, slots=True)
class Balls:
    """The largest powder balls, and how many of them are wanted across an opening."""

    ball_mm: float
    balls: int
    balls_round: int


@dataclass(frozen=True, slots=True)
class Efficiency:
    """The share of an opening's volume that is printed: linear between area ratios, beyond them constant."""

    ratios: tuple[float, ...]
    """Ascending."""
    shares: tuple[float, ...]
    steepest: float
    """The most that the share changes for each 1 of area ratio."""


@dataclass(frozen=True, eq=False, slots=True)
class Prospects:
    """What is known of a layer, to be held against limits in any foil."""

    outlines: Outlines
    outline: IntArray
    """Row of `outlines` of each opening. Shape (n,)."""
    webs: NarrowWebs
    leads: WideLeads
    heights: Heights
    balls: Balls | None
    """None where the rule set does not ask about powder."""
    efficiency: Efficiency | None
    """None where it does not ask about the volume of deposits."""
    slack_mm: float
    """That lengths have besides their error bounds."""
    rejudged: tuple[str, ...]
    """Checks in force with limits that can be held against these numbers."""
