"""The table of lands, and what else is known of a board besides its paste layer."""

from dataclasses import dataclass, replace
from typing import Final

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.lands.profile import Profile
from pastecheck.openings import Shapes
from pastecheck.source import Diagnostic


@dataclass(frozen=True, eq=False, slots=True)
class Lands:
    """Parts of copper that the mask leaves free, sorted by place; all columns have k rows and are locked."""

    shapes: Shapes
    """Distinct outlines of lands, and of pads."""
    shape: IntArray
    """Row of `shapes`."""
    x_nm: IntArray
    """Place of the outline's origin."""
    y_nm: IntArray
    pad: IntArray
    """Row of `shapes`: what was drawn for the pad, without the tracks that leave it."""
    pad_x_nm: IntArray
    pad_y_nm: IntArray
    is_area: BoolArray
    """Whether nothing of about its size was drawn for it: the mask leaves a part of a larger area free."""
    is_drilled: BoolArray
    """Whether it is a via or plated hole: the file says so, or the copper has a hole with nothing in it."""
    takes_no_paste: BoolArray
    """Whether it is drilled, or the file says that it is a test point, a fiducial or an edge contact."""
    joined: IntArray
    """Lands of one number are joined by copper that was drawn as one thing; others may be joined as well."""
    label: IntArray
    """Row of `labels`; row 0 is the empty text."""
    labels: tuple[str, ...]
    diagnostics: tuple[Diagnostic, ...] = ()

    def __post_init__(self) -> None:
        """Lock the columns, so that they can be shared without care."""
        places = (self.x_nm, self.y_nm, self.pad_x_nm, self.pad_y_nm)
        others = (
            self.shape,
            self.pad,
            self.is_area,
            self.is_drilled,
            self.takes_no_paste,
            self.joined,
            self.label,
        )
        for column in (*places, *others):
            column.flags.writeable = False

    def moved(self, dx_nm: int, dy_nm: int) -> "Lands":
        """The same lands elsewhere."""
        x_nm, y_nm = self.x_nm + dx_nm, self.y_nm + dy_nm
        pad_x_nm, pad_y_nm = self.pad_x_nm + dx_nm, self.pad_y_nm + dy_nm
        return replace(self, x_nm=x_nm, y_nm=y_nm, pad_x_nm=pad_x_nm, pad_y_nm=pad_y_nm)

    def __len__(self) -> int:
        """Number of lands."""
        return len(self.shape)


@dataclass(frozen=True, eq=False, slots=True)
class Board:
    """What is known of a board besides the paste layer."""

    lands: Lands | None = None
    """None where no copper was named."""
    profile: Profile | None = None
    """What the outline encloses; None where none was named."""
    is_unsure: BoolArray | None = None
    """Whether nobody knows what each opening lies on; None where a mask tells. Shape (n,)."""

    def some(self, rows: IntArray) -> "Board":
        """What is known of it below some of the openings. Shape (k,)."""
        return self if self.is_unsure is None else replace(self, is_unsure=self.is_unsure[rows])


NOTHING_KNOWN: Final = Board()
