"""
What copper is for, by the attribute .AperFunction (its values are from memory).

Of the pads of a land those for paste win: a thermal land with vias in it is a land, not a via.
"""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, IntArray

_FOR_PASTE: Final = frozenset({"smdpad", "bgapad", "heatsinkpad"})
_DRILLED: Final = frozenset({"viapad", "componentpad", "washerpad"})
_BARE: Final = _DRILLED | {"testpad", "fiducialpad", "connectorpad", "castellatedpad"}


class Purposes(NamedTuple):
    """Of each land: whether the file says that it is drilled, and whether that it takes no paste."""

    is_drilled: BoolArray
    takes_no_paste: BoolArray


def purposes_of(purposes: tuple[str, ...], purpose: IntArray, land: IntArray, lands: int) -> Purposes:
    """
    What lands are for, by what was drawn of them.

    Args:
        purposes: Values of .AperFunction.
        purpose: Row of `purposes` for each thing drawn. Shape (k,).
        land: The land that it lies in. Shape (k,).
        lands: How many there are.

    Example:
        >>> purposes_of(("", "ViaPad", "SMDPad,CuDef"), np.array([1, 1, 2]), np.array([0, 1, 1]), 3)
        Purposes(is_drilled=array([ True, False, False]), takes_no_paste=array([ True, False, False]))
    """
    words = np.array([text.partition(",")[0].strip().lower() for text in purposes])

    def have(those: frozenset[str]) -> BoolArray:
        found = np.zeros(lands, bool)
        found[land[np.isin(words, list(those))[purpose]]] = True
        return found

    for_paste = have(_FOR_PASTE)
    return Purposes(have(_DRILLED) & ~for_paste, have(_BARE) & ~for_paste)
