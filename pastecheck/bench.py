"""What is wanted at the bench: totals, and how to cut and print a layer; as plain frozen data."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Totals:
    """What all openings of a layer come to."""

    outlines: int
    """Closed lines to cut: about the openings, and about film that is left inside of them."""
    cut_length_mm: float
    """Once along each of them."""
    opening_volume_mm3: float
    """Area times thickness of the foil."""
    deposit_volume_mm3: float
    """What of it is expected on the board; all of it where the rule set tells no transfer efficiency."""
    has_efficiency: bool
    paste_mg: float
    """Mass of the deposits."""
    paste_g_cm3: float
    """Density of paste that this was reckoned with."""


@dataclass(frozen=True, slots=True)
class CuttingTime:
    """How long the cutter takes, as the rule set says how it works."""

    speed_mm_s: float
    """Of all passes; where they differ, the speed at which as many would take as long."""
    passes: int
    lifts: int
    """Of the knife: one for each outline and pass."""
    seconds: float
    """Passes times length over speed, and what each lift takes."""
    speeds_mm_s: tuple[float, ...] = ()
    """Of each pass, where they differ; else empty."""

    @property
    def within_s(self) -> tuple[float, float]:
        """What it may take, as cutters slow down in corners: 30 % either way (common practice, no source)."""
        return 0.7 * self.seconds, 1.3 * self.seconds


@dataclass(frozen=True, slots=True)
class Squeegee:
    """The way for the squeegee: along the slender webs, there and back."""

    direction_deg: float
    """Counter-clockwise from the x axis of the layer as it is drawn; from 0 to less than 180."""
    webs: int
    """How many webs it minds."""
    prevails: bool
    """Whether the webs have a common direction; else the squeegee goes askew to all of them."""


@dataclass(frozen=True, slots=True)
class SmallOpenings:
    """Openings of one size that are among the smallest."""

    width_mm: float
    length_mm: float
    is_round: bool
    count: int
    components: tuple[str, ...]
    """Those that the file names, in alphabetical order."""
    within_mm: tuple[float, float, float, float]
    """Where their centroids are: min x, min y, max x, max y."""
    opening: int
    """Row of the first of them in the measurements table, from 1."""


@dataclass(frozen=True, slots=True)
class SheetNeeded:
    """The smallest sheet that takes the openings, and a margin about them."""

    short_mm: float
    long_mm: float
    margin_mm: float
    """Bare foil about the openings."""
    unusable_mm: float
    """What the cutter cannot reach at each edge of the sheet, on top of the margin."""
    spare_mm: float | None
    """What the rule set's own sheet has to spare, less than 0 where it is too small; None without one."""
    is_turned: bool
    """Whether the layer has to be turned by 90 degrees on that sheet."""
    own_mm: tuple[float, float] | None = None
    """Width and height of that sheet; None without one."""


@dataclass(frozen=True, slots=True)
class JobSetting:
    """One of the user's own settings of the machine, as the rule set has it."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """For the job sheet: how to cut and print the layer."""

    cutter: str
    """What the foil is cut with; empty where the rule set does not say."""
    time: CuttingTime | None
    """None where the rule set does not say how fast it is cut."""
    squeegee: Squeegee | None
    """None where no web is so slender that the direction matters."""
    smallest: tuple[SmallOpenings, ...]
    """To be looked for when the film is weeded; the smallest first."""
    sheet: SheetNeeded
    is_mirrored: bool | None
    """Whether it is to be mirrored for the cutter, which works from the squeegee's side; None: not known."""
    settings: tuple[JobSetting, ...] = ()
    """Of the machine, as the rule set's user wrote them down."""
