"""
What copper is for, by the attribute .AperFunction (its values are from memory).

Of the pads of a land those for paste win: a thermal land with vias in it is a land, not a via. But where the
pad of a lead in a hole is larger than any pad for paste, it is that lead's, and others are joined to it.
"""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import among

_FOR_PASTE: Final = frozenset({"smdpad", "bgapad", "heatsinkpad"})
_OF_LEADS: Final = frozenset({"componentpad", "washerpad"})
_DRILLED: Final = _OF_LEADS | {"viapad"}
_BARE: Final = _DRILLED | {"testpad", "fiducialpad", "connectorpad", "castellatedpad"}


class Purposes(NamedTuple):
    """Of each land: whether the file says that it is drilled, and whether that it takes no paste."""

    is_drilled: BoolArray
    takes_no_paste: BoolArray


def purposes_of(
    purposes: tuple[str, ...], purpose: IntArray, area_mm2: FloatArray, land: IntArray, lands: int
) -> Purposes:
    """
    What lands are for, by what was drawn of them.

    Args:
        purposes: Values of .AperFunction.
        purpose: Row of `purposes` for each thing drawn. Shape (k,).
        area_mm2: Of each. Shape (k,).
        land: The land that it lies in. Shape (k,).
        lands: How many there are.

    Example:
        >>> drawn = ("", "ViaPad", "SMDPad,CuDef"), np.array([1, 1, 2]), np.array([0.2, 0.2, 1.0])
        >>> purposes_of(*drawn, np.array([0, 1, 1]), 3)
        Purposes(is_drilled=array([ True, False, False]), takes_no_paste=array([ True, False, False]))
    """
    words = np.array([text.partition(",")[0].strip().lower() for text in purposes])

    def largest_mm2(those: frozenset[str]) -> FloatArray:
        """Largest of some things in each land, 0 where there is none."""
        rows = np.flatnonzero(among(words, list(those))[purpose])
        found = np.zeros(lands)
        np.maximum.at(found, land[rows], area_mm2[rows])
        return found

    for_paste, of_leads = largest_mm2(_FOR_PASTE), largest_mm2(_OF_LEADS)
    no_paste = for_paste == 0
    is_drilled = (of_leads > for_paste) | (no_paste & (largest_mm2(_DRILLED) > 0))
    return Purposes(is_drilled, no_paste & (largest_mm2(_BARE) > 0))
