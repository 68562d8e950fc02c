"""Published openings of rows of leads, copied here with their sources: width, pitch, and what follows."""

from typing import NamedTuple

from tests.outside.worked_examples import IPC_7525, Source

MAKER = Source(
    "a stencil maker",
    "published opening rules",
    "on its web site; the share of the pitch is not printed",
)
QUALIECO = Source(
    "QualiEco Circuits",
    "published opening rules",
    "qualiecocircuits.com.au; the share of the pitch is not printed",
)


class Leads(NamedTuple):
    """A row of leads: what is published of it, in mm, and the share of the pitch and the web that follow."""

    key: str
    source: Source
    width_mm: float
    pitch_mm: float
    percent: str
    web_mm: str


class Range(NamedTuple):
    """Ratios of one opening in the thicker and in the thinner of two foils, digits as remembered."""

    key: str
    source: Source
    opening_mm: tuple[float, float]
    pitch_mm: float
    check: str
    foils_mm: tuple[float, float]
    printed: tuple[str, str]


# W / p and p - W, worked out by hand.
LEADS = (
    Leads("maker-pitch-0.3", MAKER, 0.16, 0.3, "53.3", "0.14"),
    Leads("maker-pitch-0.35", MAKER, 0.17, 0.35, "48.6", "0.18"),
    Leads("maker-pitch-0.5", MAKER, 0.24, 0.5, "48.0", "0.26"),
    Leads("pitch 0.4", QUALIECO, 0.19, 0.4, "47.5", "0.21"),
    Leads("pitch 0.65, widest", QUALIECO, 0.33, 0.65, "50.8", "0.32"),
)

# The two rows of the table, of ten, whose ratios follow from their own columns.
RANGES = (
    Range("QFP 0.65", IPC_7525, (0.3, 1.45), 0.65, "aspect-ratio", (0.175, 0.15), ("1.7", "2.0")),
    Range("QFP 0.65", IPC_7525, (0.3, 1.45), 0.65, "area-ratio", (0.175, 0.15), ("0.71", "0.83")),
    Range("QFP 0.50", IPC_7525, (0.25, 1.2), 0.5, "aspect-ratio", (0.15, 0.125), ("1.7", "2.0")),
    Range("QFP 0.50", IPC_7525, (0.25, 1.2), 0.5, "area-ratio", (0.15, 0.125), ("0.69", "0.83")),
)
