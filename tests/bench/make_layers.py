"""
Made paste layers with thousands of placed components, and an exact number of openings.

Every function gives the bytes of a Gerber X2 file; equal arguments give equal bytes. Footprints, pitches and
the mix of parts are those of ordinary boards: about one opening in six has a web of 0.20 mm; all others are
farther apart than polyester-75-knife looks.
"""

import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from typing import NamedTuple

BOARD_OPENINGS = 2_000
"""Openings of one board of a panel."""

_SPACE_NM = 300_000
"""Kept free around each part, so that parts stand 0.6 mm apart or farther."""
_BOARDS_APART_NM = 2_000_000
_FRAME_NM = 3_000_000
_WAVE_NM = 100_000
_ROUNDED = (
    "%AMRounded*\n"
    "21,1,$1,$2-$3-$3,0,0,0*\n"
    "21,1,$1-$3-$3,$2,0,0,0*\n"
    "1,1,$3+$3,$1/2-$3,$2/2-$3*\n"
    "1,1,$3+$3,$3-$1/2,$2/2-$3*\n"
    "1,1,$3+$3,$3-$1/2,$3-$2/2*\n"
    "1,1,$3+$3,$1/2-$3,$3-$2/2*\n"
    "%"
)


class Pad(NamedTuple):
    """An opening of a footprint; sides and place about the middle of the part, in nm."""

    kind: str
    """C, R, O or Rounded."""
    along: int
    across: int
    x: int
    y: int


class Part(NamedTuple):
    """A footprint at its place on a board, in nm."""

    reference: str
    pads: tuple[Pad, ...]
    x: int
    y: int


class Board(NamedTuple):
    """Parts in rows, from the lower left corner (0, 0)."""

    parts: tuple[Part, ...]
    width: int
    height: int


class _Tally:
    """Apertures of a file by what defines them, numbered as they come."""

    def __init__(self) -> None:
        self.number: dict[str, int] = {}

    def of(self, pad: Pad) -> int:
        return self.number.setdefault(_definition(pad), 10 + len(self.number))


# ------------------------------------------------------------------------------------------------- layers


def panel(openings: int, seed: int = 1) -> bytes:
    """
    Copies of one board of 2,000 openings, each written out; what is left over makes a smaller board.

    Args:
        openings: How many there are after merging; nothing overlaps.
        seed: Equal seeds give equal bytes.
    """
    return _panel(openings, seed, overlap=False)


def overlapping(openings: int, seed: int = 1) -> bytes:
    """The panel of the same seed, one opening in ten drawn as two features that overlap."""
    return _panel(openings, seed, overlap=True)


def own_sizes(openings: int, seed: int = 1) -> bytes:
    """One board; of its parts 30 % have sizes that no other part has."""
    random = Random(seed)
    tally = _Tally()
    lines: list[str] = []
    for part in _board(openings, random).parts:
        own = _resized(part, random) if random.random() < 0.3 else part
        lines += _drawn(own, tally)
    return _file(tally, lines)


def odd(openings: int, seed: int = 1) -> bytes:
    """One board; every part has its own size and angle, and every other opening is drawn as a region."""
    random = Random(seed)
    tally = _Tally()
    lines: list[str] = []
    drawn = 0
    for part in _board(openings, random, turned=True).parts:
        lines += _turned(_resized(part, random), random.uniform(1, 89), drawn, tally)
        drawn += len(part.pads)
    return _file(tally, lines)


def framed(openings: int, seed: int = 1, waves: int = 0) -> bytes:
    """
    The panel of the same seed, less one opening, within a frame that is an opening too, 3 mm wide.

    Args:
        openings: With the frame.
        seed: Equal seeds give equal bytes.
        waves: Along each outer side of the frame, up to 0.1 mm deep.
    """
    drawn = _drawn_panel(openings - 1, seed, overlap=False)
    low, wide = -2 * _FRAME_NM, 3 * _FRAME_NM
    outer = _wavy((low, low), drawn.width + wide, drawn.height + wide, waves)
    x, y = drawn.width, drawn.height
    inner = [(-_FRAME_NM, -_FRAME_NM), (-_FRAME_NM, y), (x, y), (x, -_FRAME_NM), (-_FRAME_NM, -_FRAME_NM)]
    return _file(drawn.tally, [*drawn.lines, *_region([*outer, outer[0], *inner])])


def waved(openings: int, seed: int = 1) -> bytes:
    """The panel within a frame of 100,000 vertices."""
    return framed(openings, seed, 12_500)


def beside_land(openings: int, seed: int = 1) -> bytes:
    """The panel of the same seed, less one opening, beside an opening as large as itself."""
    drawn = _drawn_panel(openings - 1, seed, overlap=False)
    left, right, top = drawn.width, 2 * drawn.width, drawn.height
    return _file(drawn.tally, [*drawn.lines, *_region([(left, 0), (right, 0), (right, top), (left, top)])])


def unequal(openings: int, seed: int = 1) -> bytes:
    """Squares in rows, 0.3 mm apart, of sides from 0.4 to 100 mm; eight in ten are of 0.4 mm."""
    random = Random(seed)
    sides = sorted(400_000 * round(250 ** random.random() ** 20) for _ in range(openings))
    width = math.isqrt(sum((side + _SPACE_NM) ** 2 for side in sides))
    tally = _Tally()
    lines: list[str] = []
    x = y = row_height = 0
    for side in sides:
        if x > width:
            x, y, row_height = 0, y + row_height, 0
        lines += [
            f"D{tally.of(Pad('R', side, side, 0, 0))}*",
            f"X{x + side // 2}Y{y + side // 2}D03*",
        ]
        x, row_height = x + side + _SPACE_NM, max(row_height, side + _SPACE_NM)
    return _file(tally, lines)


class _Panel(NamedTuple):
    """Statements of a panel, their apertures, and how large it is with the space beside each board."""

    tally: _Tally
    lines: list[str]
    width: int
    height: int


def _panel(openings: int, seed: int, *, overlap: bool) -> bytes:
    drawn = _drawn_panel(openings, seed, overlap=overlap)
    return _file(drawn.tally, drawn.lines)


def _drawn_panel(openings: int, seed: int, *, overlap: bool) -> _Panel:
    tally = _Tally()
    lines: list[str] = []
    whole, rest = divmod(openings, BOARD_OPENINGS)
    counts = [BOARD_OPENINGS] * whole + [rest] * (rest > 0)
    board = _board(min(openings, BOARD_OPENINGS), Random(seed))
    across = math.isqrt(len(counts) - 1) + 1
    for k, count in enumerate(counts):
        placed = board if count == min(openings, BOARD_OPENINGS) else _board(count, Random(seed))
        dx = k % across * (board.width + _BOARDS_APART_NM)
        dy = k // across * (board.height + _BOARDS_APART_NM)
        drawn = 0
        for part in placed.parts:
            moved = part._replace(x=part.x + dx, y=part.y + dy)
            lines += _drawn(moved, tally, drawn if overlap else None)
            drawn += len(part.pads)
    up = -(-len(counts) // across)
    pitch_x, pitch_y = board.width + _BOARDS_APART_NM, board.height + _BOARDS_APART_NM
    return _Panel(tally, lines, across * pitch_x, up * pitch_y)


def _wavy(low: tuple[int, int], width: int, height: int, waves: int) -> list[tuple[int, int]]:
    """Corners of a rectangle, with waves along its sides."""
    x, y = low
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    places: list[tuple[int, int]] = []
    for (x, y), (to_x, to_y) in zip(corners, (*corners[1:], corners[0]), strict=True):
        length = max(abs(to_x - x), abs(to_y - y))
        along, inward = ((to_x - x) / length, (to_y - y) / length), ((y - to_y) / length, (to_x - x) / length)
        for k in range(max(2 * waves, 1)):
            at, deep = k * length / max(2 * waves, 1), k % 2 * min(_WAVE_NM, length // (4 * waves + 1))
            places.append(
                (round(x + at * along[0] + deep * inward[0]), round(y + at * along[1] + deep * inward[1]))
            )
    return places


def _region(places: Sequence[tuple[int, int]]) -> Iterator[str]:
    yield "G36*"
    for k, (x, y) in enumerate((*places, places[0])):
        yield f"X{x}Y{y}{'D01' if k else 'D02'}*"
    yield "G37*"


# ------------------------------------------------------------------------------------------------- boards


def _board(openings: int, random: Random, *, turned: bool = False) -> Board:
    """Parts of the usual mix in rows of about equal length; `turned` leaves room to turn them."""
    chosen = list(_mix(openings, random))
    tiles = [_tile(pads, turned=turned) for _, pads in chosen]
    width = math.isqrt(sum(x * y for x, y in tiles)) + max((x for x, _ in tiles), default=0)
    parts = []
    x = y = row_height = 0
    for k, ((letter, pads), (tile_x, tile_y)) in enumerate(zip(chosen, tiles, strict=True)):
        if x + tile_x > width:
            x, y, row_height = 0, y + row_height, 0
        parts.append(Part(f"{letter}{k + 1}", pads, x + tile_x // 2, y + tile_y // 2))
        x, row_height = x + tile_x, max(row_height, tile_y)
    return Board(tuple(parts), width, y + row_height)


def _mix(openings: int, random: Random) -> Iterator[tuple[str, tuple[Pad, ...]]]:
    """Letter and pads of each part: exactly so many openings in all."""
    kinds = _footprints()
    weights = [weight for _, _, weight in kinds]
    left = openings
    while left > 0:
        letter, pads, _ = random.choices(kinds, weights)[0]
        if len(pads) > left:
            letter, pads = ("TP", (Pad("C", 1_000_000, 1_000_000, 0, 0),)) if left == 1 else ("R", _chip(0))
        yield letter, pads
        left -= len(pads)


def _footprints() -> list[tuple[str, tuple[Pad, ...], float]]:
    """Letter, pads, and how often it comes."""
    return [
        ("R", _chip(0), 34),
        ("C", _chip(1), 34),
        ("C", _chip(2), 12),
        ("Q", _rows((600_000, 1_000_000), 950_000, (2, 1), 2_600_000), 8),
        ("U", _rows((600_000, 1_550_000), 1_270_000, (4, 4), 5_400_000), 5),
        ("U", _quad(300_000, 1_500_000, 12, 4_250_000), 1.2),
        ("U", _quad(250_000, 800_000, 8, 2_475_000) + _grid("R", 850_000, 1_150_000, 3), 1.2),
        ("U", _grid("C", 400_000, 800_000, 8), 1.2),
    ]


def _chip(size: int) -> tuple[Pad, ...]:
    along, across, out = (
        (500_000, 550_000, 480_000),
        (300_000, 320_000, 290_000),
        (800_000, 900_000, 750_000),
    )[size]
    kind = "R" if size == 1 else "Rounded"
    return tuple(Pad(kind, along, across, way * out, 0) for way in (-1, 1))


def _rows(sides: tuple[int, int], pitch: int, counts: tuple[int, int], apart: int) -> tuple[Pad, ...]:
    """Two rows along x; where one has fewer leads they stand farther apart."""
    span = (max(counts) - 1) * pitch
    return tuple(
        Pad("R", *sides, (k * span // (count - 1) if count > 1 else span // 2) - span // 2, way * apart // 2)
        for way, count in zip((-1, 1), counts, strict=True)
        for k in range(count)
    )


def _quad(width: int, length: int, count: int, out: int) -> tuple[Pad, ...]:
    """Four rows at a pitch of 0.5 mm."""
    place = [k * 500_000 - (count - 1) * 250_000 for k in range(count)]
    upright = [Pad("R", width, length, at, way * out) for way in (-1, 1) for at in place]
    return (*upright, *(Pad("R", length, width, pad.y, pad.x) for pad in upright))


def _grid(kind: str, side: int, pitch: int, count: int) -> tuple[Pad, ...]:
    place = [k * pitch - (count - 1) * pitch // 2 for k in range(count)]
    return tuple(Pad(kind, side, side, x, y) for y in place for x in place)


def _tile(pads: Sequence[Pad], *, turned: bool) -> tuple[int, int]:
    """Sides of the room for a part."""
    x = max(abs(pad.x) + pad.along // 2 for pad in pads)
    y = max(abs(pad.y) + pad.across // 2 for pad in pads)
    if turned:
        x = y = math.isqrt(x * x + y * y) + 1
    return 2 * (x + _SPACE_NM), 2 * (y + _SPACE_NM)


def _resized(part: Part, random: Random) -> Part:
    """The part with sides smaller by up to a twentieth, to the nanometre."""
    factor = random.uniform(0.95, 1)
    pads = (
        pad._replace(along=_even(pad.along * factor), across=_even(pad.across * factor)) for pad in part.pads
    )
    return part._replace(pads=tuple(pads))


def _even(length: float) -> int:
    return 2 * round(length / 2)


# ------------------------------------------------------------------------------------------------ drawing


def _drawn(part: Part, tally: _Tally, drawn: int | None = None) -> Iterator[str]:
    """Statements of a part; given how many openings came before, every tenth one is drawn as two features."""
    yield f"%TO.C,{part.reference}*%"
    current = 0
    for k, pad in enumerate(part.pads):
        halves = _halves(pad) if drawn is not None and (drawn + k) % 10 == 0 else (pad,)
        for feature in halves:
            number = tally.of(feature)
            if number != current:
                yield f"D{number}*"
                current = number
            yield f"X{part.x + feature.x}Y{part.y + feature.y}D03*"
    yield "%TD*%"


def _halves(pad: Pad) -> tuple[Pad, Pad]:
    """Two features that overlap and together reach as far as the opening; a circle is drawn twice."""
    if pad.kind == "C":
        return pad, pad
    piece = pad._replace(kind="R", along=_even(pad.along * 0.6))
    shift = (pad.along - piece.along) // 2
    return piece._replace(x=pad.x - shift), piece._replace(x=pad.x + shift)


def _turned(part: Part, degrees: float, drawn: int, tally: _Tally) -> Iterator[str]:
    """Statements of a part that is turned about its middle; every other opening is a region."""
    degrees = round(degrees, 3)
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    yield f"%TO.C,{part.reference}*%"
    yield f"%LR{degrees}*%"
    for k, pad in enumerate(part.pads):
        if (drawn + k) % 2:
            yield f"D{tally.of(pad)}*"
            yield f"{_place(part, pad.x, pad.y, cos, sin)}D03*"
        else:
            yield "G36*"
            for operation, (x, y) in zip(("D02", *["D01"] * 4), _CORNERS, strict=True):
                corner = _place(part, pad.x + x * pad.along / 2, pad.y + y * pad.across / 2, cos, sin)
                yield f"{corner}{operation}*"
            yield "G37*"
    yield "%LR0*%"
    yield "%TD*%"


_CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))


def _place(part: Part, x: float, y: float, cos: float, sin: float) -> str:
    return f"X{part.x + round(x * cos - y * sin)}Y{part.y + round(x * sin + y * cos)}"


def _definition(pad: Pad) -> str:
    along, across = pad.along / 1e6, pad.across / 1e6
    if pad.kind == "C":
        return f"C,{along:.6f}"
    if pad.kind == "Rounded":
        return f"Rounded,{along:.6f}X{across:.6f}X{min(along, across) / 5:.6f}"
    return f"{pad.kind},{along:.6f}X{across:.6f}"


def _file(tally: _Tally, lines: Sequence[str]) -> bytes:
    head = [
        "%TF.GenerationSoftware,pastecheck,tests.bench.make_layers,1*%",
        "%TF.FileFunction,Paste,Top*%",
        "%FSLAX46Y46*%",
        "%MOMM*%",
        _ROUNDED,
        *(f"%ADD{number}{definition}*%" for definition, number in tally.number.items()),
        "G01*",
        "%LPD*%",
    ]
    return "\n".join([*head, *lines, "M02*", ""]).encode("ascii")


def many_times(board: Path, across: int, up: int) -> str:
    """A board many times over, without the components' names, in a step and repeat."""
    text = re.sub(r"%T[AOD][^%]*%\n?", "", board.read_text(encoding="utf-8")).rstrip().removesuffix("M02*")
    first = re.search(r"^D\d+\*", text, re.MULTILINE)
    assert first is not None
    repeat = f"%SRX{across}Y{up}I62J42*%\n"
    return f"{text[: first.start()]}{repeat}{text[first.start() :]}%SR*%\nM02*\n"
