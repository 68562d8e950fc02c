"""
Damage and exaggeration: what happens to layer files on their way, and what a hostile one could hold.

Everything is decided by a seed and a number, so that a case can be made again on any machine.
"""

import math
import re
from collections.abc import Callable, Sequence
from random import Random
from typing import Final, TypeAlias

LARGEST: Final = 200_000
"""Bytes of a case; what grows larger is cut off."""

_STATEMENT = re.compile(rb"%[^%]*%\s*|[^*%]*\*\s*|[^*%]+")
_NUMBER = re.compile(rb"[-+]?\d+\.?\d*|\.\d+")
_COORDINATE = re.compile(rb"(?<=[XYIJ])[-+]?\d+")
_SIZE = re.compile(rb"(?<=[,X])[-+]?(?:\d+\.?\d*|\.\d+)")
_FORMAT = re.compile(rb"FS[LTD]?[AI]?X\d\dY\d\d|MO(?:IN|MM)|G7[01]\*")
_OPERATION = re.compile(rb"D0?[123]\*|G0?[123]|G7[45]|LP[DC]")
_PLAIN = re.compile(rb"(?<=[*%\n])[XYIJ][^*%]*\*")
_EXTENDED = re.compile(rb"%(?:AM|AD|SR|AB|L[PMRS]|FS|MO)[^%]*%")
_DEFINITION = re.compile(rb"%AD[^%]*%")

_NUMBERS: Final = (
    *(
        "0",
        "-0",
        "1",
        "-1",
        "2",
        "3",
        "9",
        "10",
        "12",
        "99",
        "100",
        "360",
        "1000",
        "3000",
        "65536",
        "1000000",
    ),
    *(
        "2147483648",
        "9007199254740993",
        "9223372036854775807",
        "99999999999999999999",
        "0.000001",
        "0.0000001",
    ),
    *(
        "0.5",
        "1.5",
        "-0.5",
        "1000.0",
        "9999.999999",
        "10000",
        "10001",
        "1" + "0" * 400,
        "0." + "0" * 400 + "1",
    ),
)
_VOCABULARY: Final = (
    *("%", "*", "%%", "**", "%*%", "\0", "\xff", "\r", "\n", "\\", "D", "G", "M", "X", "Y", "I", "$", "x"),
    *("%LPC*%", "%LPD*%", "%LMXY*%", "%LMN*%", "%LR77.7*%", "%LR0*%", "%LS9.99*%", "%LS0.001*%", "%LS1000*%"),
    *("%SRX3Y2I1.5J0.7*%", "%SRX1Y1I0J0*%", "%SR*%", "%SRX99X99I0J0*%", "%SRX1000Y1000I0J0*%", "%AB*%"),
    *("%SRX1000Y1000I0.000001J0.000001*%", "%SRX300Y300I0.01J0.01*%", "%SRX2000Y1I0.3J0*%", "%ABD77*%"),
    *("D77*", "D10*", "D11*", "D99*X0Y0D03*", "G36*", "G37*", "G74*", "G75*", "G01*", "G02*", "G03*", "G90*"),
    *("G91*", "G70*", "G71*", "M02*", "M00*", "X0Y0D03*", "X100Y100D01*", "X-7Y9I5J-5D01*", "X0D02*", "D03*"),
    *("%ADD77C,0.5*%", "%ADD77R,3X0.000001*%", "%ADD77O,900X0.1*%", "%ADD77P,5X12X33*%", "%ADD77C,0*%"),
    *("%ADD77C,9000*%", "%ADD77C,0.000001*%", "%ADD10C,1X2*%", "%ADD10C,3X1*%", "%ADD77Y,1X2X3*%"),
    *("%AMY*6,0,0,$1,.01,.01,100,.01,$2,33*%", "%AMY*7,0,0,$1,$2,.01,45*%", "%AMY*1,1,$1,$2,$3*1,0,$2,0,0*%"),
    *("%AMY*5,1,360,0,0,$1,7*%", "%AMY*4,1,4,0,0,$1,$1,0,$1,$2,0,0,0,0*%", "%AMY*20,1,$1,0,0,$2,$3,30*%"),
    *("%AMY*$4=$1x$2/$3*21,1,$4,$1,0,0,45*%", "%AMZ*4,1,3,0,0,1,0,1,1,0,0,0*%", "%ADD78Z*%", "D78*"),
    *("%TO.C,R1*%", "%TD*%", "%TF.FileFunction,Paste,Top*%", "%TA.AperFunction,SMDPad,CuDef*%", "G04 note*"),
    *("%IPNEG*%", "%IPPOS*%", "%MOIN*%", "%MOMM*%", "%FSLAX24Y24*%", "%FSTAX36Y36*%", "%FSLIX46Y46*%"),
    *("%OFA1B1*%", "%MIA1B0*%", "%ASAYBX*%", "%SFA2B2*%", "%INname*%", "%LNname*%", "%KO*%", "%IR90*%"),
)  # fmt: skip

Mutation: TypeAlias = Callable[[Random, bytes, bytes], bytes]
"""From a layer and another one to what becomes of the first."""


def case(layers: Sequence[bytes], seed: int, number: int) -> bytes:
    """
    A layer that some things have happened to.

    Args:
        layers: What it is made from.
        seed: Of a run.
        number: Of the case in the run. Equal layers, seeds and numbers give equal bytes.
    """
    random = Random(f"{seed}:{number}")
    content = random.choice(layers)
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 5))):
        content = random.choice(_MUTATIONS)(random, content, random.choice(layers))[:LARGEST]
    return content


# ------------------------------------------------------------------------------------------ bytes and parts


def _flipped(random: Random, content: bytes, _other: bytes) -> bytes:
    changed = bytearray(content or b"*")
    for _ in range(random.choice((1, 1, 2, 4, 16))):
        changed[random.randrange(len(changed))] ^= 1 << random.randrange(8)
    return bytes(changed)


def _deleted(random: Random, content: bytes, _other: bytes) -> bytes:
    begin, end = _span(random, content)
    return content[:begin] + content[end:]


def _cut(random: Random, content: bytes, _other: bytes) -> bytes:
    at = random.randrange(len(content) + 1)
    if random.random() < 0.5:
        at = _between(content, at)
    return content[:at] if random.random() < 0.8 else content[at:]


def _doubled(random: Random, content: bytes, _other: bytes) -> bytes:
    begin, end = _span(random, content)
    return content[:begin] + content[begin:end] * random.choices((2, 3, 30), (16, 8, 1))[0] + content[end:]


def _span(random: Random, content: bytes) -> tuple[int, int]:
    """Begin and end of a piece, mostly a short one."""
    begin = random.randrange(len(content) + 1)
    end = min(len(content), begin + int(len(content) ** random.random()))
    if random.random() < 0.7:
        begin, end = _between(content, begin), _between(content, end)
    return min(begin, end), max(begin, end)


def _put_in(random: Random, content: bytes, _other: bytes) -> bytes:
    for _ in range(random.choice((1, 1, 2, 5))):
        at = random.randrange(len(content) + 1)
        if random.random() < 0.9:
            at = _between(content, at)
        content = content[:at] + random.choice(_VOCABULARY).encode("latin-1") + content[at:]
    return content


# ------------------------------------------------------------------------------------------------ statements


def _between(content: bytes, at: int) -> int:
    """The end of the statement or block that stands at a place."""
    end = content.find(b"*", at) + 1 or len(content)
    return end + 1 if content[end : end + 1] == b"%" else end


def _spliced(random: Random, content: bytes, other: bytes) -> bytes:
    if random.random() < 0.3:
        return content[: random.randrange(len(content) + 1)] + other[random.randrange(len(other) + 1) :]
    one, two = _STATEMENT.findall(content), _STATEMENT.findall(other)
    most = max(random.randrange(len(one) + 1), random.randrange(len(one) + 1))
    return b"".join(one[:most] + two[random.randrange(len(two) + 1) :])


def _shuffled(random: Random, content: bytes, _other: bytes) -> bytes:
    statements = _STATEMENT.findall(content)
    begin = random.randrange(len(statements) + 1)
    end = begin + random.choice((3, 10, 30))
    some = statements[begin:end]
    random.shuffle(some)
    return b"".join(statements[:begin] + some + statements[end:])


def _swapped(random: Random, content: bytes, _other: bytes) -> bytes:
    statements = _STATEMENT.findall(content) or [b""]
    for _ in range(random.choice((1, 2, 8))):
        one, two = random.randrange(len(statements)), random.randrange(len(statements))
        statements[one], statements[two] = statements[two], statements[one]
    return b"".join(statements)


def _wrapped(random: Random, content: bytes, _other: bytes) -> bytes:
    """Some statements repeated at even steps, or made a block that is flashed in several ways."""
    statements = _STATEMENT.findall(content)
    begin, end = sorted(random.randrange(len(statements) + 1) for _ in range(2))
    if random.random() < 0.5:
        across, up = (random.choices((1, 2, 3, 7, 40, 300, 2000), (8, 8, 8, 4, 2, 1, 1))[0] for _ in range(2))
        i, j = (random.choice(("0", "0.000001", "0.001", "0.1", "0.5", "3", "50", "900")) for _ in range(2))
        before, after = f"%SRX{across}Y{up}I{i}J{j}*%", "%SR*%"
    else:
        flashes = "".join(_flash(random) for _ in range(random.choices((1, 2, 5, 50), (8, 8, 4, 1))[0]))
        before, after = "%ABD70*%", f"%AB*%D70*{flashes}"
    middle = statements[begin:end]
    return b"".join([*statements[:begin], before.encode(), *middle, after.encode(), *statements[end:]])


def _flash(random: Random) -> str:
    change = random.choice(
        ("", "", "%LMX*%", "%LR45*%", "%LR90*%", "%LS2*%", "%LS0.01*%", "%LPC*%", "%LPD*%")
    )
    return f"{change}X{random.choice((1, 10, 5000, 10**6, 10**9))}Y{random.randrange(10**6)}D03*"


def _recoded(random: Random, content: bytes, _other: bytes) -> bytes:
    """Operations, arcs and polarity changed for others, here and there or everywhere."""
    words = (b"D01*", b"D02*", b"D03*", b"G01", b"G02", b"G03", b"G74", b"G75", b"LPD", b"LPC")
    share = random.choice((0.02, 0.2, 1.0))
    if random.random() < 0.5:
        one, two = random.choice(words), random.choice(words)
        return content.replace(one, two)
    return _OPERATION.sub(lambda m: random.choice(words) if random.random() < share else m[0], content)


def _reformatted(random: Random, content: bytes, _other: bytes) -> bytes:
    """Another unit or coordinate format: everything gets very small or very large."""
    digits = random.choice(("22", "23", "24", "25", "34", "35", "36", "44", "45", "46", "66", "60", "17"))
    format_ = f"FS{random.choice('LLLLLLTD')}{random.choice('AAAI')}X{digits}Y{digits}".encode()
    unit = random.choice((b"MOIN", b"MOMM"))
    return _FORMAT.sub(lambda m: format_ if m[0][:2] == b"FS" else unit, content)


# --------------------------------------------------------------------------------------------------- numbers


def _blown_up(random: Random, content: bytes, _other: bytes) -> bytes:
    """Some coordinates, or numbers of definitions, repeats and formats, made very large, small or odd."""
    found = [match.span() for match in random.choice((_PLAIN, _EXTENDED)).finditer(content)]
    for begin, end in sorted(random.sample(found, min(len(found), random.choice((1, 2, 10)))), reverse=True):
        numbers = list(_NUMBER.finditer(content, begin, end))
        if numbers:
            one = random.choice(numbers)
            content = content[: one.start()] + _other_number(random, one[0]) + content[one.end() :]
    return content


def _other_number(random: Random, number: bytes) -> bytes:
    way = random.randrange(6)
    if way == 0:
        return random.choice(_NUMBERS).encode()
    if way == 1:
        return number + b"0" * random.choice((1, 2, 3, 6, 12))
    if way == 2:
        return number[: -random.choice((1, 2, 3))] or b"0"
    if way == 3:
        return number[1:] if number[:1] == b"-" else b"-" + number
    return _times(number, random.choice((0.5, 0.999999, 1.000001, 2, 10, 100, 1e4, 1e-3)))


def _scaled(random: Random, content: bytes, _other: bytes) -> bytes:
    """All places, or all sizes, made larger or smaller: everything overlaps, or lies far apart."""
    statements, factors = random.choice(
        ((_PLAIN, (0.0, 1e-6, 1e-3, 0.03, 0.3, 30.0, 1e3)), (_DEFINITION, (1e-6, 1e-3, 0.1, 3.0, 30.0, 1e3)))
    )
    factor = random.choice(factors)
    pattern = _COORDINATE if statements is _PLAIN else _SIZE
    return statements.sub(
        lambda statement: pattern.sub(lambda number: _times(number[0], factor), statement[0]), content
    )


def _times(number: bytes, factor: float) -> bytes:
    value = float(number) * factor
    if math.isinf(value) or b"." not in number:
        return str(int(value) if math.isfinite(value) else 10**30).encode()
    return f"{value:.7f}".encode()


# ------------------------------------------------------------------------------------------------ much drawn


def _drawn_more(random: Random, content: bytes, _other: bytes) -> bytes:
    """Many objects drawn at one place in the file: at random, in a row, as a star or a fan."""
    count = random.choices((3, 10, 40, 150, 400, 1500), (40, 40, 30, 8, 4, 1))[0]
    reach = 10 ** random.randrange(1, 9)
    kind = random.randrange(5)
    angle = [2 * math.pi * k * random.choice((1, 2, 7, 0.381966 * count)) / count for k in range(count)]
    if kind == 0:
        points = [(random.randrange(-reach, reach), random.randrange(-reach, reach)) for _ in range(count)]
    elif kind == 1:
        points = [(k * reach // count, 0) for k in range(count)]
    else:
        points = [(int(reach * math.cos(a)), int(reach * math.sin(a))) for a in angle]
    code = random.choice(("D03", "D01", "D01", "region"))
    text = "".join(f"X{x}Y{y}{'D01' if code == 'region' else code}*" for x, y in points)
    if code == "region":
        begin = f"X{points[0][0]}Y{points[0][1]}"
        text = f"G36*{begin}D02*G01*{text}{begin}D01*G37*"
    at = _between(content, random.randrange(len(content) + 1))
    return content[:at] + text.encode() + content[at:]


def _arcs(random: Random, content: bytes, _other: bytes) -> bytes:
    """Full circles and arcs of any size."""
    text = "G75*"
    for _ in range(random.choices((1, 3, 30), (8, 4, 1))[0]):
        reach = 10 ** random.randrange(0, 11)
        text += f"X0Y0D02*{random.choice(('G02', 'G03'))}*"
        end = random.choice(("X0Y0", f"X{2 * reach}Y0", f"X{reach}Y{reach}"))
        text += f"{end}I{reach}J0D01*"
    if random.random() < 0.5:
        text = text.replace("G75*", "G75*G36*") + "G37*"
    at = _between(content, random.randrange(len(content) + 1))
    return content[:at] + text.encode() + content[at:]


_MUTATIONS: Final[tuple[Mutation, ...]] = (
    *(_flipped, _deleted, _cut, _doubled, _put_in, _put_in, _put_in, _spliced, _spliced, _shuffled, _swapped),
    *(_wrapped, _wrapped, _recoded, _recoded, _reformatted, _blown_up, _blown_up, _blown_up),
    *(_scaled, _scaled, _drawn_more, _drawn_more, _arcs, _arcs),
)  # fmt: skip
